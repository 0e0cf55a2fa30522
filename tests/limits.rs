//! What is refused before it costs anything, what ends in time, and what an interruption leaves.
#![cfg(feature = "cli")]

mod bytes;
mod support;

use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use bytes::archive::{model, package, tetrahedron};
use cavigram::formats::{self, ReadError, USUAL_TRIANGLES_MOST};
use cavigram::job::{self, ClockRequest, Impressions, JobRequest, LayersRequest, MeshRequest};
use cavigram::layers;
use cavigram::plan::{PlanRequest, ShopTold};
use cavigram::sheet::ReadAs;
use flate2::Compression;
use flate2::write::GzEncoder;
use support::shapes::Shape;
use support::{pipeline, truth};

fn cavigram(folder: &Path, line: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_cavigram"));
    command.current_dir(folder).args(line).stdin(Stdio::null());
    command
}

fn run(folder: &Path, line: &[&str]) -> Output {
    cavigram(folder, line).output().unwrap()
}

fn error(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// A tetrahedron in each format.
fn tetrahedra() -> Vec<(&'static str, Vec<u8>)> {
    let corners = [[0, 0, 0], [40, 0, 0], [0, 40, 0], [0, 0, 40]];
    let faces = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]];
    let mut binary = [0; 80].to_vec();
    binary.extend(4_u32.to_le_bytes());
    let (mut ascii, mut obj) = ("solid\n".to_owned(), String::new());
    let head = "ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\nproperty float y\n\
                property float z\nelement face 4\nproperty list uchar int vertex_indices\n\
                end_header\n";
    let (mut ply, mut off) = (head.to_owned(), "OFF\n4 4 6\n".to_owned());
    for [x, y, z] in corners {
        obj += &format!("v {x} {y} {z}\n");
        ply += &format!("{x} {y} {z}\n");
        off += &format!("{x} {y} {z}\n");
    }
    for face in faces {
        let [a, b, c] = face;
        obj += &format!("f {} {} {}\n", a + 1, b + 1, c + 1);
        ply += &format!("3 {a} {b} {c}\n");
        off += &format!("3 {a} {b} {c}\n");
        binary.extend([0; 12]);
        ascii += "facet normal 0 0 0\nouter loop\n";
        for corner in face {
            let [x, y, z] = corners[corner];
            ascii += &format!("vertex {x} {y} {z}\n");
            for value in [x, y, z] {
                binary.extend((value as f32).to_le_bytes());
            }
        }
        binary.extend([0; 2]);
        ascii += "endloop\nendfacet\n";
    }
    ascii += "endsolid\n";
    let mut packed = GzEncoder::new(Vec::new(), Compression::default());
    packed.write_all(obj.as_bytes()).unwrap();
    let placed = model("", &tetrahedron("id=\"1\""), "<item objectid=\"1\"/>");
    vec![
        ("t.stl", binary),
        ("a.stl", ascii.into_bytes()),
        ("t.obj", obj.into_bytes()),
        ("t.ply", ply.into_bytes()),
        ("t.off", off.into_bytes()),
        ("t.obj.gz", packed.finish().unwrap()),
        ("t.3mf", package(&placed)),
    ]
}

#[test]
fn every_format_is_read_up_to_the_limit_and_refused_one_over() {
    for (name, bytes) in tetrahedra() {
        let mesh = formats::read_within(&bytes, Some(name), 4).unwrap();
        assert_eq!(mesh.triangles.len(), 4, "{name}");
        match formats::read_within(&bytes, Some(name), 3) {
            Err(ReadError::TooManyTriangles { triangles: 4, most: 3, .. }) => {}
            other => panic!("{name}: {other:?}"),
        }
    }
}

/// Triangles of a package count as they are read, before anything is placed and whether or not
/// anything is: they take room.
#[test]
fn triangles_of_a_package_count_whether_they_are_placed_or_not() {
    let two = tetrahedron("id=\"1\"") + &tetrahedron("id=\"2\"");
    for build in ["<item objectid=\"1\"/>", "<item objectid=\"9\"/>"] {
        match formats::read_within(&package(&model("", &two, build)), None, 7) {
            Err(ReadError::TooManyTriangles { triangles: 8, exact: false, most: 7 }) => {}
            other => panic!("{build}: {other:?}"),
        }
    }
    // Placed again and again, they count each time.
    let build = "<item objectid=\"1\"/>".repeat(3);
    match formats::read_within(&package(&model("", &two, &build)), None, 8) {
        Err(ReadError::TooManyTriangles { triangles: 12, most: 8, .. }) => {}
        other => panic!("{other:?}"),
    }
}

#[test]
fn all_commands_refuse_too_many_triangles_in_words() {
    let folder = tempfile::tempdir().unwrap();
    for (name, bytes) in tetrahedra() {
        std::fs::write(folder.path().join(name), bytes).unwrap();
    }
    for command in ["survey", "plan", "level"] {
        let output = run(folder.path(), &[command, "t.stl", "--max-triangles", "3"]);
        assert_eq!(output.status.code(), Some(1), "{command}");
        assert!(output.stdout.is_empty(), "{command}");
        let told = error(&output);
        for word in ["t.stl", "4 triangles", "more than the 3", "reduce", "--max-triangles"] {
            assert!(told.contains(word), "{command}: {told}");
        }
        let output = run(folder.path(), &[command, "t.stl", "--max-triangles", "1k"]);
        assert_eq!(output.status.code(), Some(0), "{command}: {}", error(&output));
    }
    for wrong in ["0", "-1", "many", "1.5M", "", "99999999999999999999", "k"] {
        let output = run(folder.path(), &["survey", "t.stl", "--max-triangles", wrong]);
        assert_eq!(output.status.code(), Some(2), "{wrong}");
        assert!(error(&output).contains("--max-triangles"), "{wrong}");
    }
}

/// A binary STL that holds one triangle more than the usual limit: refused by its count, so that
/// nothing of its gigabyte is decoded. It is empty on the disk.
#[test]
fn the_usual_limit_holds_without_being_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let count = USUAL_TRIANGLES_MOST + 1;
    let mut file = std::fs::File::create(folder.path().join("large.stl")).unwrap();
    file.write_all(&[0; 80]).unwrap();
    file.write_all(&u32::try_from(count).unwrap().to_le_bytes()).unwrap();
    file.set_len(84 + 50 * count).unwrap();
    let output = run(folder.path(), &["survey", "large.stl"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(error(&output).contains("20 000 001 triangles"), "{}", error(&output));
}

#[test]
fn a_file_of_four_gigabytes_is_refused_unread() {
    let folder = tempfile::tempdir().unwrap();
    let file = std::fs::File::create(folder.path().join("large.stl")).unwrap();
    file.set_len(4 << 30).unwrap();
    let begun = Instant::now();
    let output = run(folder.path(), &["survey", "large.stl"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(error(&output).contains("larger than 2 GiB"), "{}", error(&output));
    assert!(begun.elapsed() < Duration::from_secs(10));
}

#[cfg(unix)]
#[test]
fn an_endless_device_is_refused_at_the_stated_size() {
    let folder = tempfile::tempdir().unwrap();
    let output = run(folder.path(), &["survey", "/dev/zero"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(error(&output).contains("larger than 2 GiB"), "{}", error(&output));
}

#[test]
fn a_job_file_nested_without_end_is_refused_with_its_place() {
    let folder = tempfile::tempdir().unwrap();
    const DEEP: usize = 200_000;
    let lists = format!("mesh = {}{}\n", "[".repeat(DEEP), "]".repeat(DEEP));
    let tables = format!("mesh = {}1{}\n", "{a=".repeat(DEEP), "}".repeat(DEEP));
    let keys = format!("[mesh{}]\n", ".a".repeat(DEEP));
    for text in [lists, tables, keys] {
        std::fs::write(folder.path().join("job.toml"), &text).unwrap();
        let output = run(folder.path(), &["plan", "job.toml"]);
        assert_eq!(output.status.code(), Some(1), "{:.20}: {}", text, error(&output));
        assert!(error(&output).contains("job.toml: line 1"), "{}", error(&output));
    }
}

/// A half bowl of known volumes: limits get wider as the budget shrinks, and always hold the
/// closed form.
#[test]
fn a_budget_that_is_reached_gives_wider_limits_that_hold() {
    let book = truth::handbook_bowl(32, 24, true);
    let cavity = pipeline::cavity(&book.body, &pipeline::LEVEL);
    let request = pipeline::request(2.0, 3.0, 0.0001);
    let full = layers::split(&cavity, &request, &|_| ());
    assert!(full.tolerance_reached);
    let least = layers::split_within(&cavity, &request, 0, &|_| ());
    let whole = cavity.measures().volume_mm3.best();
    let (unskinned, cap) = ((book.unskinned)(2.0), (book.cap)(2.0, 3.0));
    let mut reach_mm3 = full.skin_mm3.reach();
    for queries_most in [full.queries / 3, full.queries / 20, 0] {
        let short = layers::split_within(&cavity, &request, queries_most, &|_| ());
        assert!(!short.tolerance_reached, "{queries_most}");
        assert!(short.queries <= queries_most.max(least.queries), "{}", short.queries);
        assert!(pipeline::holds(&short.skin_mm3, unskinned.left_of(book.volume)), "{short:?}");
        assert!(pipeline::holds(&short.core_mm3, cap.left_of(unskinned)), "{short:?}");
        assert!(pipeline::holds(&short.cap_mm3, cap), "{short:?}");
        let sum = short.skin_mm3.best() + short.core_mm3.best() + short.cap_mm3.best();
        assert!((sum - whole).abs() <= 1e-6 * whole, "{queries_most}: {sum}");
        assert!(short.skin_mm3.reach() > reach_mm3, "{queries_most}: {:?}", short.skin_mm3);
        reach_mm3 = short.skin_mm3.reach();
        assert_eq!(short, layers::split_within(&cavity, &request, queries_most, &|_| ()));
    }
}

#[test]
fn a_plan_with_too_small_a_budget_says_so_and_gives_grams_all_the_same() {
    let bytes = Shape::hemisphere(40.0, 30).stl();
    let request = |queries_most: u64| JobRequest {
        mesh: MeshRequest::new("bowl.stl"),
        layers: LayersRequest { queries_most, ..LayersRequest::default() },
        materials: PlanRequest::typical().unwrap(),
        inserts: Vec::new(),
        clock: ClockRequest::default(),
        shop_told: ShopTold::default(),
    };
    let codes = |queries_most: u64| {
        let sheet = job::run(&bytes, &request(queries_most), &|_, _| ()).unwrap();
        assert!(sheet.plan.layers[0].dose.net_g > 0.0);
        sheet.findings.iter().any(|finding| finding.code == "tolerance-not-reached")
    };
    assert!(codes(0));
    assert!(!codes(LayersRequest::default().queries_most));
}

/// The budget is that of the whole plan: what just suffices for the largest impression alone is too
/// little for it and another.
#[test]
fn impressions_share_one_budget() {
    let sample = concat!(env!("CARGO_MANIFEST_DIR"), "/sample-meshes/two-impressions.stl");
    let bytes = std::fs::read(sample).unwrap();
    let suffices = |impression: Impressions, queries_most: u64| {
        let mut mesh = MeshRequest::new("two-impressions.stl");
        (mesh.read_as, mesh.impression) = (Some(ReadAs::Mould), Some(impression));
        let request = JobRequest {
            mesh,
            layers: LayersRequest { queries_most, ..LayersRequest::default() },
            materials: PlanRequest::typical().unwrap(),
            inserts: Vec::new(),
            clock: ClockRequest::default(),
            shop_told: ShopTold::default(),
        };
        let sheet = job::run(&bytes, &request, &|_, _| ()).unwrap();
        !sheet.findings.iter().any(|finding| finding.code == "tolerance-not-reached")
    };
    let largest = Impressions::Number(1);
    let just = (8..40).map(|k| 1 << k).find(|most| suffices(largest, *most)).unwrap();
    assert!(just > 1 << 8, "{just}");
    assert!(!suffices(Impressions::All, just), "{just}");
    assert!(suffices(Impressions::All, 4 * just), "{just}");
}

/// `plan --save` stopped at many moments of its run: a job file that is there is whole, an old
/// one is the old or the new one.
#[cfg(target_os = "linux")]
#[test]
fn an_interruption_at_any_moment_leaves_no_half_written_file() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("bowl.stl"), Shape::hemisphere(60.0, 150).stl()).unwrap();
    let job = folder.path().join("job.toml");
    let line = ["plan", "bowl.stl", "--save", "job.toml"];
    let begun = Instant::now();
    let output = run(folder.path(), &line);
    assert!(output.status.success(), "{}", error(&output));
    let takes = begun.elapsed();
    let whole = std::fs::read(&job).unwrap();
    let (mut stopped, steps) = (0, 24);
    for step in 0..steps {
        std::fs::remove_file(&job).ok();
        // A program begun in the background of a script ignores the signal unless it is set back.
        let mut command = Command::new("env");
        command.arg("--default-signal=INT").arg(env!("CARGO_BIN_EXE_cavigram")).args(line);
        command.current_dir(folder.path()).stdin(Stdio::null());
        command.stdout(Stdio::null()).stderr(Stdio::null());
        let mut running = command.spawn().unwrap();
        std::thread::sleep(takes * step / (steps - 2));
        let killed = Command::new("kill").args(["-INT", &running.id().to_string()]).status();
        assert!(killed.is_ok());
        let status = running.wait().unwrap();
        stopped += u32::from(!status.success());
        match std::fs::read(&job) {
            Ok(found) => assert_eq!(found, whole, "step {step}"),
            Err(_) => assert!(!status.success(), "step {step}"),
        }
    }
    assert!(stopped >= 3, "only {stopped} runs were stopped in time");
}
