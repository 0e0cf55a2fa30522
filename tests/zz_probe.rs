//! probe
mod support;
use support::pipeline::*;
use std::time::Instant;
#[test]
fn probe() {
    for book in support::truth::all() {
        let t0 = Instant::now();
        let c = cavity(&book.body, if book.open { &LEVEL } else { &CLOSED });
        let t1 = t0.elapsed();
        for (coats, tol) in [(vec![2.0], 0.005), (vec![0.5],0.005), (vec![0.4, 0.8, 0.8], 0.005), (vec![2.0], 0.001)] {
            let t2 = Instant::now();
            let l = layers(&c, &cavigram::layers::LayerRequest { coats_mm: coats.clone(), cap_mm: 3.0, tolerance: tol });
            println!("{:38} open {:5} tris {:6} cavity {:.2?} coats {:?} tol {tol}: {:.2?} queries {} reached {}", book.name, book.open, book.body.faces.len(), t1, coats, t2.elapsed(), l.queries, l.tolerance_reached);
        }
    }
}
