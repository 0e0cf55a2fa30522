//! Writes the sample meshes.
//!
//! `cargo run --release --example generate-samples -- sample-meshes` writes the committed ones,
//! `-- --dense DIR` a kidney of about 200,000 triangles, too large to be committed.

mod generator;

use std::path::Path;
use std::process::ExitCode;

use generator::{Sample, committed, committed_scans, dense, make, make_scan};

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let written = match arguments[..] {
        ["--dense", folder] => write_all(std::iter::once(make(&dense())), folder),
        [folder] if !folder.starts_with('-') => {
            let pieces = committed().into_iter().map(|piece| make(&piece));
            let scans = committed_scans().into_iter().map(|scan| make_scan(&scan));
            write_all(pieces.chain(scans), folder)
        }
        _ => Err("give a folder to write to, with --dense before it for the dense kidney".into()),
    };
    match written {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            eprintln!("{fault}");
            ExitCode::FAILURE
        }
    }
}

fn write_all(
    samples: impl Iterator<Item = Result<Sample, String>>,
    folder: &str,
) -> Result<(), String> {
    for sample in samples {
        let sample = sample?;
        let path = Path::new(folder).join(sample.file);
        std::fs::write(&path, &sample.bytes).map_err(|e| format!("{}: {e}", path.display()))?;
        println!("{}: {} triangles, {} bytes", sample.file, sample.triangles, sample.bytes.len());
    }
    Ok(())
}
