//! How long a plan takes, by phase, on meshes made here.
//!
//! `cargo bench` prints the table for 10 k, 100 k, 1 M and 4 M triangles, and the whole plan of a
//! mould's scan of 2 M triangles with 200 holes; with `-- --quick` only the first two. Each size
//! runs in a process of its own, so that its peak memory is its own.

mod body;
mod scan;
#[path = "../support/mod.rs"]
mod support;

use std::process::Command;
use std::time::Instant;

use cavigram::cavity::{Cavity, CavityRequest};
use cavigram::formats;
use cavigram::health;
use cavigram::job;
use cavigram::layers::{self, LayerRequest};
use cavigram::mesh::{Mesh, Patches, Vec3};
use cavigram::plan::{PlanRequest, ShopTold};

/// The layer requests that get a line of their own: name, coats in mm, tolerance.
const REQUESTS: [(&str, &[f64], f64); 4] = [
    ("layers, 0.5 %", &[2.0], 0.005),
    ("layers, 0.1 %", &[2.0], 0.001),
    ("layers, 0.05 %", &[2.0], 0.0005),
    ("layers, coats 0.4 + 0.8 + 0.8 mm", &[0.4, 0.8, 0.8], 0.005),
];

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    if let Some(at) = arguments.iter().position(|a| a == "--triangles") {
        let count = arguments.get(at + 1).and_then(|n| n.parse().ok());
        return measure(count.expect("--triangles takes a number"));
    }
    if arguments.iter().any(|a| a == "--scan") {
        return measure_scan();
    }
    let quick = arguments.iter().any(|a| a == "--quick");
    let sizes: &[usize] =
        if quick { &[10_000, 100_000] } else { &[10_000, 100_000, 1_000_000, 4_000_000] };
    println!("threads: {}", rayon::current_num_threads());
    let program = std::env::current_exe().expect("the benchmark's own path");
    let run = |arguments: &[&str]| {
        let status = Command::new(&program).args(arguments).status();
        let status = status.expect("the benchmark runs itself");
        assert!(status.success(), "{arguments:?}: {status}");
    };
    sizes.iter().for_each(|size| run(&["--triangles", &size.to_string()]));
    if !quick {
        run(&["--scan"]);
    }
}

/// The scan of a mould, at the default settings.
fn measure_scan() {
    let bytes = scan::mould_stl(2_000_000, 200);
    println!("\nopen mould, 2 M triangles, 200 holes, {:.1} MB", bytes.len() as f64 / 1e6);
    let sheet = timed("whole plan from bytes", || plan_of(&bytes));
    let repairs: Vec<_> = sheet.health.repairs.iter().map(|r| (r.code, r.count)).collect();
    println!("  {:.1} cm³, {repairs:?}", sheet.cavity.measures.volume_mm3.best() / 1e3);
    println!("  peak memory {:.0} MiB in all", peak_memory_mib());
}

/// The whole plan at the default settings.
fn plan_of(bytes: &[u8]) -> cavigram::sheet::Sheet {
    let request = job::JobRequest {
        mesh: job::MeshRequest::new("body.stl"),
        layers: job::LayersRequest::default(),
        materials: PlanRequest::typical().expect("built-in systems"),
        inserts: Vec::new(),
        clock: job::ClockRequest::default(),
        shop_told: ShopTold::default(),
    };
    job::run(bytes, &request, &|_, _| ()).expect("a plan")
}

/// One size, all phases.
fn measure(triangles: usize) {
    let bytes = body::organ_stl(triangles);
    println!("\n{triangles} triangles, {:.1} MB", bytes.len() as f64 / 1e6);
    let raw = timed("reading and welding", || formats::read(&bytes, None).expect("a sound file"));
    let mesh = Mesh::new(raw.vertices, raw.triangles).expect("finite vertices");
    let examined = timed("health, all of it", || health::examine(mesh));
    let sound = examined.sound.expect("a sound mesh");
    let patches = timed("  of it hierarchy", || Patches::new(sound.mesh()));
    let crossings = timed("  of it self-crossings", || health::crossings(&patches));
    assert_eq!(crossings, Ok(Vec::new()));
    drop(patches);
    let request =
        CavityRequest { up: Vec3::Z, up_given: false, opening_auto: true, below_lip_mm: 0.0 };
    let cavity = timed("cavity", || Cavity::of_casting(&sound, &request).expect("a cavity"));
    println!(
        "  {:.1} cm³, opening {:.1} cm²",
        cavity.measures().volume_mm3.best() / 1e3,
        cavity.measures().opening_area_mm2 / 1e2
    );
    for (name, coats, tolerance) in REQUESTS {
        let request = LayerRequest { coats_mm: coats.to_vec(), cap_mm: 3.0, tolerance };
        let layers = timed(name, || layers::split(&cavity, &request, &|_| ()));
        assert!(layers.tolerance_reached, "{name}");
        println!("  {} distance queries", layers.queries);
    }
    drop((cavity, sound));
    let before = peak_memory_mib();
    timed("whole plan from bytes", || plan_of(&bytes));
    println!("  peak memory {before:.0} MiB by phases, {:.0} MiB in all", peak_memory_mib());
}

/// Runs and prints how long it took.
fn timed<T>(name: &str, work: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let result = work();
    println!("  {name:<34}{:>9.3} s", start.elapsed().as_secs_f64());
    result
}

/// The process's peak memory so far, where the system tells.
fn peak_memory_mib() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    let kib = line.and_then(|l| l.trim().trim_end_matches(" kB").parse::<f64>().ok());
    kib.unwrap_or(f64::NAN) / 1024.0
}
