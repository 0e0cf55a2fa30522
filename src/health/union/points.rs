//! Names for corners: places within reach of one another share one.

use hashbrown::HashMap;

use crate::mesh::Vec3;

/// The corners of the cut mesh by name: first those of the mesh itself, then new ones.
pub struct Points {
    /// Where they lie, mm.
    pub places: Vec<Vec3>,
    reach: f64,
    grid: HashMap<[i64; 3], Vec<u32>, foldhash::fast::FixedState>,
    /// Corners of the mesh that lie on another, by which they go.
    alias: HashMap<u32, u32, foldhash::fast::FixedState>,
}

impl Points {
    /// The corners of a mesh; none of them is found again before it is [`note`](Self::note)d.
    pub fn new(vertices: &[Vec3], reach: f64) -> Self {
        Self {
            places: vertices.to_vec(),
            reach,
            grid: HashMap::default(),
            alias: HashMap::default(),
        }
    }

    /// Makes a corner of the mesh one that new places may fall on; one that lies on another
    /// noted before goes by its name.
    pub fn note(&mut self, name: u32) {
        let place = self.places[name as usize];
        match self.found(place) {
            None => self.grid.entry(cell(place, self.reach)).or_default().push(name),
            Some(other) if other != name => {
                self.alias.insert(name, other);
            }
            Some(_) => {}
        }
    }

    /// The name that a corner of the mesh goes by.
    pub fn known_as(&self, name: u32) -> u32 {
        self.alias.get(&name).copied().unwrap_or(name)
    }

    /// The name of a place: that of the nearest one within reach, or a new one.
    pub fn name(&mut self, p: Vec3) -> u32 {
        self.found(p).unwrap_or_else(|| {
            let name = self.places.len() as u32;
            self.places.push(p);
            self.grid.entry(cell(p, self.reach)).or_default().push(name);
            name
        })
    }

    fn found(&self, p: Vec3) -> Option<u32> {
        let [x, y, z] = cell(p, self.reach);
        let mut best: Option<(f64, u32)> = None;
        for k in 0..27 {
            let key = [x + k % 3 - 1, y + k / 3 % 3 - 1, z + k / 9 - 1];
            for &name in self.grid.get(&key).into_iter().flatten() {
                let off = self.places[name as usize].distance(p);
                if off <= self.reach && best.is_none_or(|(least, _)| off < least) {
                    best = Some((off, name));
                }
            }
        }
        best.map(|(_, name)| name)
    }
}

fn cell(p: Vec3, reach: f64) -> [i64; 3] {
    // Twice the reach, so that rounding at a cell's border can't hide a neighbour.
    (p / (2.0 * reach)).floor().to_array().map(|x| x as i64)
}
