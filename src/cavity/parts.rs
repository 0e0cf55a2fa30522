//! Wall and opening of a cavity, cut from a surface and measured.

use crate::bounds::Bounds;
use crate::finding::Finding;
use crate::mesh::{Frame, Mesh, Section, Vec3, area_vector_doubled, below_level, triangle_area};

use super::back::{Back, ends};
use super::{BackGap, Cavity, CavityMeasures, SlopeAreas};

/// The lip and the fill level over the cavity's lowest point, mm: along up, and, where a back
/// leans against the direction given, the fill level in the pouring frame beside them.
pub struct Heights {
    /// The lip.
    pub lip_mm: f64,
    /// The fill level.
    pub fill_mm: f64,
    /// The fill level in the pouring frame.
    pub level_mm: f64,
    /// Up in the pouring frame.
    pub up: Vec3,
}

impl Heights {
    /// Heights of a cavity whose opening is level in the pouring frame.
    pub fn level(lip_mm: f64, fill_mm: f64) -> Self {
        Self { lip_mm, fill_mm, level_mm: fill_mm, up: Vec3::Z }
    }
}

/// Wall and opening of a cavity before they are measured.
pub struct Parts {
    /// The brushed surface, outward.
    pub wall: Mesh,
    /// The level section that it is poured through.
    pub opening: Section,
    /// Volume, mm³.
    pub volume_mm3: f64,
    gap: BackGap,
}

impl Parts {
    /// The cavity up to a level that cuts the mesh.
    pub fn cut(mesh: Mesh, back: Option<&Back>, level: f64) -> Self {
        let mesh = match back {
            Some(back) => mesh.with_triangles(without(&mesh, &back.triangles)),
            None => mesh,
        };
        let (wall, opening) = below_level(&mesh, level);
        let volume_mm3 = volume_under(&wall, level);
        Self { wall, opening, volume_mm3, gap: BackGap::default() }
    }

    /// The whole cavity, poured up to its flat back if it has one.
    pub fn whole(mesh: Mesh, back: Option<&Back>, level: f64) -> Self {
        let volume_mm3 = mesh.signed_volume_mm3();
        let Some(back) = back else {
            let opening = Section { area_mm2: 0.0, outline: Vec::new() };
            return Self { wall: mesh, opening, volume_mm3, gap: BackGap::default() };
        };
        let mut opening = Section { area_mm2: 0.0, outline: Vec::new() };
        let mut gap = BackGap { from_mm: level, ..BackGap::default() };
        for t in &back.triangles {
            let corners = mesh.corners(*t as usize);
            let seen_from_above = 0.5 * area_vector_doubled(corners).z;
            let over = corners.map(|p| p.z - level);
            let mean = (over[0] + over[1] + over[2]) / 3.0;
            let one_sided = over.iter().all(|h| *h >= 0.0) || over.iter().all(|h| *h <= 0.0);
            let most = over.iter().fold(0.0, |m: f64, h| m.max(h.abs()));
            opening.area_mm2 += seen_from_above;
            gap.from_mm = corners.iter().fold(gap.from_mm, |low, p| low.min(p.z));
            gap.signed += seen_from_above * mean;
            gap.absolute += seen_from_above.abs() * if one_sided { mean.abs() } else { most };
        }
        opening.outline = back.border.iter().map(|h| ends(&mesh, *h)).collect();
        let wall = mesh.with_triangles(without(&mesh, &back.triangles));
        Self { wall, opening, volume_mm3, gap }
    }

    /// The numbers of the cavity.
    pub fn measure(
        &self,
        heights: &Heights,
        margin_mm3: f64,
        tilt_deg: Option<f64>,
    ) -> CavityMeasures {
        let wall_area_mm2 = self.wall.area_mm2();
        CavityMeasures {
            volume_mm3: Bounds::exact(self.volume_mm3)
                .widened(margin_mm3)
                .clamped(0.0, f64::INFINITY),
            surface_area_mm2: wall_area_mm2 + self.opening.area_mm2,
            wall_area_mm2,
            opening_area_mm2: self.opening.area_mm2,
            opening_perimeter_mm: self.opening.perimeter_mm(),
            lip_mm: heights.lip_mm,
            fill_mm: heights.fill_mm,
            slope_area_mm2: slope_areas(&self.wall, heights.up),
            tilt_deg,
        }
    }

    /// The cavity itself.
    pub fn into_cavity(
        self,
        frame: Frame,
        level_mm: f64,
        measures: CavityMeasures,
        findings: Vec<Finding>,
    ) -> Cavity {
        Cavity {
            wall: self.wall,
            frame,
            outline: self.opening.outline,
            back_gap_mm3: self.gap,
            level_mm,
            rim: None,
            measures,
            findings,
        }
    }
}

/// The triangles of a mesh that are not in a rising list.
fn without(mesh: &Mesh, left_out: &[u32]) -> Vec<[u32; 3]> {
    let mut left_out = left_out.iter().peekable();
    (0u32..)
        .zip(mesh.triangles())
        .filter(|(t, _)| left_out.next_if_eq(&t).is_none())
        .map(|(_, corners)| *corners)
        .collect()
}

/// Volume between an outward wall and the level above it, mm³: each triangle bounds a column up
/// to the level, so no lid is needed.
pub fn volume_under(wall: &Mesh, level: f64) -> f64 {
    wall.sum_over_triangles(|corners| {
        let mean = (corners[0].z + corners[1].z + corners[2].z) / 3.0;
        -0.5 * area_vector_doubled(corners).z * (level - mean)
    })
}

/// Wall area by slope; the inward normal is the outward one turned round.
pub fn slope_areas(wall: &Mesh, up: Vec3) -> SlopeAreas {
    let cos_floor = 30f64.to_radians().cos();
    let [floor, steep, overhanging] = wall.sums_over_triangles(|corners| {
        let (normal, area) = (area_vector_doubled(corners), triangle_area(corners));
        match -normal.dot(up) / normal.length() {
            cos if cos > cos_floor => [area, 0.0, 0.0],
            cos if cos >= 0.0 => [0.0, area, 0.0],
            cos if cos < 0.0 => [0.0, 0.0, area],
            _ => [0.0; 3], // A triangle without area has no slope.
        }
    });
    SlopeAreas { floor, steep, overhanging }
}
