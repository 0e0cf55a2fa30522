//! Any small mesh through the whole program: what comes out adds up, or is refused in words.

use cavigram::bounds::Bounds;
use cavigram::cavity::{Cavity, CavityRequest};
use cavigram::health::examine;
use cavigram::job::{self, Impressions, JobRequest, LayersRequest, MeshRequest, Opening, Up};
use cavigram::layers::{LayerRequest, Layers, split};
use cavigram::mesh::{Mesh, Vec3};
use cavigram::plan::{PlanRequest, ShopTold};
use cavigram::render;
use cavigram::sheet::{ReadAs, Sheet};
use cavigram::units::{Direction, Length, Percent};

use super::echoes;

/// A mesh grown from bytes, with a request that fits its size.
#[derive(Debug, Clone)]
pub struct Piece {
    /// Corners in mm.
    pub points: Vec<[f64; 3]>,
    /// Corner numbers, all in range.
    pub faces: Vec<[u32; 3]>,
    /// How it is to be read.
    pub mesh: MeshRequest,
    /// Skin as a share of the longest side, 1/20 to 1/4; none for 0.
    pub skin_share: f64,
    /// Cap and level in mm.
    pub cap_mm: f64,
    /// How far under the lip the last pour stops, mm.
    pub below_lip_mm: f64,
}

/// The most faces that a piece grows to.
const MOST_FACES: usize = 100;
/// The tolerance of the quicker split, as a share.
const COARSE: f64 = 0.1;
/// Distance queries that a split may take for every square of the skin's thickness on the wall
/// and for every triangle, at that tolerance.
const QUERIES_PER_UNIT: f64 = 400.0;
/// What the smallest split may take.
const QUERIES_AT_LEAST: f64 = 60_000.0;

/// Takes bytes one by one; zeros once they are used up.
struct Bytes<'a>(&'a [u8]);

impl Bytes<'_> {
    fn next(&mut self) -> u8 {
        let Some((first, rest)) = self.0.split_first() else { return 0 };
        self.0 = rest;
        *first
    }

    fn below(&mut self, count: usize) -> usize {
        usize::from(self.next()) % count.max(1)
    }

    /// −64 to 63.5 in steps that often coincide.
    fn coordinate(&mut self) -> f64 {
        f64::from(self.next() as i8) / 2.0
    }

    fn point(&mut self) -> [f64; 3] {
        [self.coordinate(), self.coordinate(), self.coordinate()]
    }
}

impl Piece {
    /// Any bytes make a piece: what is asked, a body to begin with, and changes to it.
    pub fn grow(bytes: &[u8]) -> Self {
        let mut bytes = Bytes(bytes);
        let mut mesh = MeshRequest::new("piece.obj");
        let asked = bytes.next();
        mesh.read_as = match asked & 3 {
            0 | 1 => None,
            2 => Some(ReadAs::Casting),
            _ => Some(ReadAs::Mould),
        };
        mesh.up = match asked >> 2 & 3 {
            0 | 1 => Up::Unsaid,
            2 => Direction::of(bytes.point()).map_or(Up::Unsaid, Up::Along),
            _ => Up::Rim,
        };
        mesh.impression = match asked >> 4 & 3 {
            0 | 1 => None,
            2 => Some(Impressions::All),
            _ => Some(Impressions::Number(2)),
        };
        mesh.accept_holes = asked & 64 != 0;
        if asked & 128 != 0 {
            mesh.opening = Opening::None;
        }
        let skin_share = match bytes.next() % 8 {
            0 => 0.0,
            // Thinner coats take longer and hold nothing else.
            eighths => 0.25 / f64::from(9 - eighths).min(5.0),
        };
        let cap_mm = f64::from(bytes.next() % 32) / 2.0;
        let below_lip_mm = f64::from(bytes.next() % 16) / 2.0;
        let (points, faces) = body(bytes.next(), bytes.next());
        let mut piece = Self { points, faces, mesh, skin_share, cap_mm, below_lip_mm };
        while !bytes.0.is_empty() && piece.faces.len() < MOST_FACES {
            piece.change(&mut bytes);
        }
        piece
    }

    /// One change, as damage, bad exports and odd models make them.
    fn change(&mut self, bytes: &mut Bytes<'_>) {
        let kind = bytes.next() % 12;
        let (count, faces) = (self.points.len(), self.faces.len());
        let (point, face) = (bytes.below(count), bytes.below(faces));
        match kind {
            0 if count > 0 => self.points[point] = bytes.point(),
            1 if faces > 0 => {
                self.faces.swap_remove(face);
            }
            2 if faces > 0 => self.faces[face].swap(1, 2),
            3 if faces > 0 => self.faces.push(self.faces[face]),
            4 if count > 0 => {
                let corners = [(); 3].map(|()| bytes.below(count) as u32);
                self.faces.push(corners);
            }
            5 if count > 0 => self.points[point] = self.points[bytes.below(count)],
            6 => self.points.push(bytes.point()),
            7 => {
                let (axis, by) = (bytes.below(3), f64::from(bytes.next()) / 32.0);
                self.points.iter_mut().for_each(|p| p[axis] *= by);
            }
            8 if 2 * faces <= MOST_FACES => {
                let by = bytes.point();
                self.push_body((self.points.clone(), self.faces.clone()), by, false);
            }
            9 => {
                let (kind, size, by) = (bytes.next(), bytes.next(), bytes.point());
                self.push_body(body(kind, size), by, kind & 128 != 0);
            }
            10 if count > 0 => {
                // A hair's breadth: cracks and needles.
                let axis = bytes.below(3);
                self.points[point][axis] += f64::from(bytes.next() as i8) * 1e-4;
            }
            11 if faces > 0 => self.divide(face, bytes.next()),
            _ => {}
        }
    }

    fn push_body(&mut self, body: Grown, by: [f64; 3], inward: bool) {
        let base = self.points.len() as u32;
        self.points.extend(body.0.iter().map(|p| [p[0] + by[0], p[1] + by[1], p[2] + by[2]]));
        let shifted = body.1.iter().map(|t| t.map(|v| v + base));
        self.faces.extend(shifted.map(|[a, b, c]| if inward { [a, c, b] } else { [a, b, c] }));
    }

    /// A face in three, about a point in it: its middle, or nearly at one corner.
    fn divide(&mut self, face: usize, share: u8) {
        let [a, b, c] = self.faces[face];
        let share = f64::from(share) / 256.0;
        let weights = [1.0 - share, 0.7 * share, 0.3 * share];
        let corners = [a, b, c].map(|v| self.points[v as usize]);
        let middle = [0, 1, 2]
            .map(|axis| (0..3).map(|corner| weights[corner] * corners[corner][axis]).sum::<f64>());
        let new = self.points.len() as u32;
        self.points.push(middle);
        self.faces[face] = [a, b, new];
        self.faces.extend([[b, c, new], [c, a, new]]);
    }

    /// As an OBJ with all digits.
    pub fn obj(&self) -> Vec<u8> {
        let points = self.points.iter().map(|[x, y, z]| format!("v {x:?} {y:?} {z:?}\n"));
        let faces = self.faces.iter().map(|t| t.map(|v| v + 1));
        points.chain(faces.map(|[a, b, c]| format!("f {a} {b} {c}\n"))).collect::<String>().into()
    }

    /// The longest side of its box, mm.
    pub fn longest_mm(&self) -> f64 {
        (0..3).map(|axis| self.extent(axis)).fold(0.0, f64::max)
    }

    fn extent(&self, axis: usize) -> f64 {
        let along = || self.faces.iter().flatten().map(|v| self.points[*v as usize][axis]);
        along().fold(f64::MIN, f64::max) - along().fold(f64::MAX, f64::min)
    }

    fn skin_mm(&self) -> f64 {
        let mm = self.skin_share * self.longest_mm();
        if mm < 0.4 { 0.0 } else { mm }
    }

    fn job(&self) -> Option<JobRequest> {
        let skin = self.skin_mm();
        let coats = if skin > 0.0 { vec![Length::from_mm(skin / 2.0); 2] } else { Vec::new() };
        Some(JobRequest {
            mesh: self.mesh.clone(),
            layers: LayersRequest {
                coats,
                cap: Length::from_mm(self.cap_mm),
                below_lip: Length::from_mm(self.below_lip_mm),
                flange: Length::from_mm(self.cap_mm),
                tolerance: Percent::new(10.0),
                ..LayersRequest::default()
            },
            materials: PlanRequest::typical().ok()?,
            inserts: Vec::new(),
            clock: job::ClockRequest::default(),
            shop_told: ShopTold::default(),
        })
    }
}

type Grown = (Vec<[f64; 3]>, Vec<[u32; 3]>);

/// A body to begin with: nothing, box, open box, cone, pit in a sheet, tube or ring of wedges.
fn body(kind: u8, size: u8) -> Grown {
    let s = 4.0 + f64::from(size) / 4.0;
    let around = 3 + u32::from(size % 10);
    match kind % 7 {
        0 => (Vec::new(), Vec::new()),
        1 => lathe(&[[0.7 * s, 0.0], [0.7 * s, s]], 4, true),
        2 => lathe(&[[0.7 * s, s], [0.7 * s, 0.0]], 4, false),
        3 => lathe(&[[0.1, 0.0], [s / 2.0, s / 3.0], [s / 3.0, s]], around, true),
        4 => lathe(&[[1.6 * s, s], [s, s], [0.5 * s, 0.0]], around, false),
        5 => tube(s, around),
        _ => lathe(&[[s / 3.0, 0.0], [s, s / 2.0], [s / 2.0, s], [0.8 * s, 1.4 * s]], around, true),
    }
}

/// Rings of (radius, height), one after the other; the last is closed by a fan, the first too
/// where `closed`.
fn lathe(profile: &[[f64; 2]], around: u32, closed: bool) -> Grown {
    let (mut points, mut faces) = (Vec::new(), Vec::new());
    for [radius, height] in profile {
        for i in 0..around {
            let angle = std::f64::consts::TAU * f64::from(i) / f64::from(around);
            points.push([radius * angle.cos(), radius * angle.sin(), *height]);
        }
    }
    let rings = profile.len() as u32;
    for ring in 1..rings {
        for i in 0..around {
            let next = (i + 1) % around;
            let (low, high) = ((ring - 1) * around, ring * around);
            faces.extend([[low + i, low + next, high + next], [low + i, high + next, high + i]]);
        }
    }
    let last = (rings - 1) * around;
    for i in 1..around - 1 {
        faces.push([last, last + i, last + i + 1]);
        if closed {
            faces.push([0, i + 1, i]);
        }
    }
    (points, faces)
}

fn tube(s: f64, around: u32) -> Grown {
    let (points, mut faces) = lathe(&[[s / 2.0, 0.0], [s / 2.0, 2.0 * s]], around, false);
    faces.truncate(2 * around as usize);
    (points, faces)
}

/// Runs a piece through the whole program and its parts, and checks what must hold.
pub fn piece(piece: &Piece) {
    if piece.faces.is_empty() {
        return;
    }
    let bytes = piece.obj();
    let survey =
        job::survey(&bytes, &piece.mesh, &|_, share| assert!((0.0..=1.0).contains(&share)));
    match &survey {
        Ok(survey) => {
            let json = render::json::survey(survey).expect("a survey is JSON");
            no_null_number(&json);
            assert!(!render::terminal::survey(survey).is_empty());
            survey.findings.iter().for_each(|f| echoes(&f.message, f.hint.as_deref()));
        }
        Err(error) => echoes(&error.to_string(), error.hint().as_deref()),
    }
    let Some(job) = piece.job() else { return };
    match job::run(&bytes, &job, &|_, share| assert!((0.0..=1.0).contains(&share))) {
        Ok(sheet) => sums_hold(&sheet),
        Err(error) => echoes(&error.to_string(), error.hint().as_deref()),
    }
    parts(piece);
}

/// JSON has no NaN: what was no number would stand there as `null`.
fn no_null_number(json: &str) {
    for key in ["_cm3", "_cm2", "_mm", "_g", "_cm"] {
        assert!(!json.contains(&format!("{key}\": null")), "{key} in {json}");
    }
}

fn sums_hold(sheet: &Sheet) {
    let json = render::json::plan(sheet).expect("a sheet is JSON");
    assert!(!render::terminal::plan(sheet).is_empty() && json.len() > 1000);
    let whole = sheet.cavity.measures.volume_mm3;
    assert!(whole.best() > 0.0 && whole.best().is_finite());
    let layers = sheet.plan.layers.each_ref().map(|layer| layer.volume_mm3);
    for volume in layers.iter().chain([&whole]) {
        in_order(volume);
    }
    let sum: f64 = layers.iter().map(Bounds::best).sum();
    assert!((sum - whole.best()).abs() <= 1e-6 * whole.best(), "{sum} of {whole:?}");
    for layer in &sheet.plan.layers {
        let grams: f64 = layer.dose.net_g;
        assert!(grams >= 0.0 && grams.is_finite() && layer.dose.mix_g.is_finite());
    }
    sheet.findings.iter().for_each(|f| echoes(&f.message, f.hint.as_deref()));
}

fn in_order(volume: &Bounds) {
    let (low, best, high) = (volume.low(), volume.best(), volume.high());
    assert!(0.0 <= low && low <= best && best <= high && high.is_finite(), "{volume:?}");
}

/// A casting's layers at two tolerances: limits in order, within what was asked, of one truth, in
/// bounded work; and the same piece lying on its side holds the same.
fn parts(piece: &Piece) {
    let up = [Vec3::Z, Vec3::X];
    let meshes = [piece.points.clone(), piece.points.iter().map(|p| [p[2], p[0], p[1]]).collect()];
    let mut found = Vec::new();
    for (points, up) in meshes.into_iter().zip(up) {
        let points = points.into_iter().map(Vec3::from_array).collect();
        let mesh = Mesh::new(points, piece.faces.clone()).expect("indices are in range");
        let Ok(sound) = examine(mesh).sound else { continue };
        let asked = CavityRequest { up, up_given: true, opening_auto: true, below_lip_mm: 0.0 };
        let Ok(cavity) = Cavity::of_casting(&sound, &asked) else { continue };
        if cavity.measures().volume_mm3.best() < 1.0 {
            continue;
        }
        found.push((cavity, sound.mesh().triangles().len()));
    }
    let skin_mm = piece.skin_mm();
    let mut all: Vec<(Bounds, Layers)> = Vec::new();
    for ((cavity, triangles), tolerance) in found.iter().zip([COARSE, COARSE / 3.0]) {
        let coats_mm = if skin_mm > 0.0 { vec![skin_mm] } else { Vec::new() };
        let asked = LayerRequest { coats_mm, cap_mm: piece.cap_mm, tolerance };
        let layers = split(cavity, &asked, &|_| {});
        check_layers(cavity, &layers, tolerance);
        let squares = cavity.measures().wall_area_mm2 / skin_mm.max(0.4).powi(2);
        let budget = QUERIES_AT_LEAST + QUERIES_PER_UNIT * (squares + *triangles as f64);
        assert!(
            (layers.queries as f64) < budget * COARSE / tolerance,
            "{} queries",
            layers.queries
        );
        all.push((cavity.measures().volume_mm3, layers));
    }
    if let [(whole, a), (other, b)] = &all[..] {
        let slack = 1e-6 * whole.best().max(other.best());
        meet(whole, other, slack);
        // Layers speak of the mesh as repaired, and two repairs may both be right.
        if whole.reach() <= slack && other.reach() <= slack {
            meet(&a.skin_mm3, &b.skin_mm3, slack);
            meet(&a.core_mm3, &b.core_mm3, slack);
            meet(&a.cap_mm3, &b.cap_mm3, slack);
        }
    }
}

fn meet(a: &Bounds, b: &Bounds, slack: f64) {
    let meet = a.low() <= b.high() + slack && b.low() <= a.high() + slack;
    assert!(meet, "{a:?} and, on its side, {b:?} have nothing in common");
}

fn check_layers(cavity: &Cavity, layers: &Layers, tolerance: f64) {
    let whole = cavity.measures().volume_mm3.best();
    let parts = [layers.skin_mm3, layers.core_mm3, layers.cap_mm3];
    parts.iter().chain(&layers.coats_mm3).for_each(in_order);
    let sum: f64 = parts.iter().map(Bounds::best).sum();
    assert!((sum - whole).abs() <= 1e-9 * whole, "{sum} of {whole}");
    if layers.tolerance_reached {
        for part in &parts {
            assert!(part.reach() <= tolerance * whole * (1.0 + 1e-9), "{part:?} of {whole}");
        }
    }
    assert!((0.0..=1.0 + 1e-9).contains(&layers.thin_share), "{}", layers.thin_share);
}
