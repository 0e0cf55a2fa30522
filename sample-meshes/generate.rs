//! Writes the sample meshes.
//!
//! `cargo run --release --example generate-samples -- sample-meshes` writes the committed ones,
//! `-- --dense DIR` a kidney of about 200,000 triangles, too large to be committed.

mod generator;

use std::path::Path;
use std::process::ExitCode;

use generator::{Piece, committed, dense, make};

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let written = match arguments[..] {
        ["--dense", folder] => write_all(&[dense()], folder),
        [folder] if !folder.starts_with('-') => write_all(&committed(), folder),
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

fn write_all(pieces: &[Piece], folder: &str) -> Result<(), String> {
    for piece in pieces {
        let sample = make(piece)?;
        let path = Path::new(folder).join(sample.file);
        std::fs::write(&path, &sample.bytes).map_err(|e| format!("{}: {e}", path.display()))?;
        println!("{}: {} triangles, {} bytes", sample.file, sample.triangles, sample.bytes.len());
    }
    Ok(())
}
