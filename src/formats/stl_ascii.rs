//! STL as text (reference F2), with a reader of our own.
//!
//! `stl_io` serves as the oracle in the tests. It reads only the first of several solids, rounds
//! to `f32`, refuses bare `solid`, upper case, byte order marks and Latin-1 names, and takes ten
//! times as long.

use super::text::{self, Words};
use super::weld::Welder;
use super::{Format, RawMesh, ReadError, check_count};
use crate::mesh::Vec3;

pub(super) fn read(bytes: &[u8], most: u64) -> Result<RawMesh, ReadError> {
    let mut reader = Reader {
        words: Words::new(text::trimmed(bytes)),
        welder: Welder::default(),
        triangles: Vec::new(),
        most,
    };
    while let Some(word) = reader.words.next() {
        reader.check(word, "solid", "`solid`")?;
        reader.words.skip_line();
        reader.solid()?;
    }
    if reader.triangles.is_empty() {
        return Err(ReadError::NoTriangles(Format::StlAscii));
    }
    Ok(RawMesh {
        format: Format::StlAscii,
        unit: None,
        findings: Vec::new(),
        vertices: reader.welder.into_positions(),
        triangles: reader.triangles,
    })
}

struct Reader<'a> {
    words: Words<'a>,
    welder: Welder,
    triangles: Vec<[u32; 3]>,
    /// The most triangles that are read.
    most: u64,
}

impl Reader<'_> {
    /// Facets up to and including the line of `endsolid`.
    fn solid(&mut self) -> Result<(), ReadError> {
        const EXPECTED: &str = "`facet` or `endsolid`";
        loop {
            let word = self.words.require(EXPECTED)?;
            if word.eq_ignore_ascii_case(b"endsolid") {
                self.words.skip_line();
                return Ok(());
            }
            self.check(word, "facet", EXPECTED)?;
            self.facet()?;
        }
    }

    fn facet(&mut self) -> Result<(), ReadError> {
        self.keyword("normal", "`normal`")?;
        self.normal()?;
        self.keyword("outer", "`outer loop`")?;
        self.keyword("loop", "`loop`")?;
        let mut corners = [0; 3];
        for corner in &mut corners {
            self.keyword("vertex", "`vertex`")?;
            let position = Vec3::new(self.coordinate()?, self.coordinate()?, self.coordinate()?);
            *corner = self.welder.number(position).map_err(|_| ReadError::TooManyVertices)?;
        }
        self.keyword("endloop", "`endloop`")?;
        self.keyword("endfacet", "`endfacet`")?;
        self.triangles.push(corners);
        check_count(self.triangles.len() as u64, false, self.most)
    }

    /// Three numbers that are not used; but a file with a NaN is refused whole.
    fn normal(&mut self) -> Result<(), ReadError> {
        for _ in 0..3 {
            let word = self.words.require("a number")?;
            let line = self.words.line();
            text::number(word, line).map_err(|error| match error {
                ReadError::NotFinite { place } => ReadError::NormalNotFinite { place },
                other => other,
            })?;
        }
        Ok(())
    }

    fn coordinate(&mut self) -> Result<f64, ReadError> {
        let word = self.words.require("a number")?;
        text::coordinate(word, self.words.line())
    }

    fn keyword(&mut self, keyword: &str, expected: &'static str) -> Result<(), ReadError> {
        let word = self.words.require(expected)?;
        self.check(word, keyword, expected)
    }

    fn check(&self, word: &[u8], keyword: &str, expected: &'static str) -> Result<(), ReadError> {
        if word.eq_ignore_ascii_case(keyword.as_bytes()) {
            return Ok(());
        }
        let found = text::shortened(word);
        Err(ReadError::Unexpected { line: self.words.line(), expected, found })
    }
}
