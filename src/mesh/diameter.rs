//! The longest straight way between two points of a set: exact, without looking at every pair.

use super::Vec3;

/// Points are taken together down to so few.
const LEAF: usize = 16;
/// Steps from a point to the one farthest from it, for a first length to beat.
const SWEEPS: usize = 8;

/// The greatest distance between two of the points, in their own unit; 0 for fewer than two.
///
/// Halves the set along its longest side again and again and leaves out pairs of parts that can't
/// be farther apart than two points known already. Of two small parts the points are first looked
/// at along the line between their middles: with a and b off the middles along it, and r and s
/// off them at most, no two points are farther apart than √((a + b + middles)² + (r + s)²).
pub fn diameter(mut points: Vec<Vec3>) -> f64 {
    if points.len() < 2 {
        return 0.0;
    }
    let first = swept(&points);
    let mut parts = Vec::new();
    let root = build(&mut points, 0, &mut parts);
    let mut search = Search { points: &points, parts: &parts, squared: first };
    search.pair(root, root);
    search.squared.sqrt()
}

/// The square of a long way, found by going from each point to the farthest one.
fn swept(points: &[Vec3]) -> f64 {
    let mut from = points[0];
    let mut most: f64 = 0.0;
    for _ in 0..SWEEPS {
        let reach = |p: &&Vec3| p.distance_squared(from);
        let Some(far) = points.iter().max_by(|a, b| reach(a).total_cmp(&reach(b))) else { break };
        let squared = far.distance_squared(from);
        if squared <= most {
            break;
        }
        (most, from) = (squared, *far);
    }
    most
}

/// Some of the points, which follow one another.
struct Part {
    from: usize,
    to: usize,
    low: Vec3,
    high: Vec3,
    middle: Vec3,
    /// No point is farther from the middle.
    radius: f64,
    halves: Option<[usize; 2]>,
}

/// Sorts the points into parts; gives the number of the part that holds all of them.
fn build(points: &mut [Vec3], from: usize, parts: &mut Vec<Part>) -> usize {
    let low = points.iter().copied().fold(Vec3::INFINITY, Vec3::min);
    let high = points.iter().copied().fold(Vec3::NEG_INFINITY, Vec3::max);
    let middle = 0.5 * (low + high);
    let radius = points.iter().map(|p| p.distance_squared(middle)).fold(0.0, f64::max).sqrt();
    let to = from + points.len();
    let halves = (points.len() > LEAF).then(|| {
        let side = high - low;
        let axis = (0..3).max_by(|a, b| side[*a].total_cmp(&side[*b])).unwrap_or(0);
        let half = points.len() / 2;
        points.select_nth_unstable_by(half, |a, b| a[axis].total_cmp(&b[axis]));
        let (left, right) = points.split_at_mut(half);
        [build(left, from, parts), build(right, from + half, parts)]
    });
    parts.push(Part { from, to, low, high, middle, radius, halves });
    parts.len() - 1
}

struct Search<'a> {
    points: &'a [Vec3],
    parts: &'a [Part],
    /// The square of the greatest distance so far.
    squared: f64,
}

impl Search<'_> {
    /// Looks for a greater distance from a point of one part to a point of the other.
    fn pair(&mut self, a: usize, b: usize) {
        let (p, q) = (&self.parts[a], &self.parts[b]);
        if farthest_squared(p, q) <= self.squared {
            return;
        }
        let halved =
            if p.radius >= q.radius { p.halves.or(q.halves) } else { q.halves.or(p.halves) };
        match (halved, p.halves) {
            (None, _) => self.look_at(p, q),
            (Some([left, right]), _) if a == b => {
                self.pair(left, right);
                self.pair(left, left);
                self.pair(right, right);
            }
            (Some(halves), of_p) => {
                let other = if of_p == Some(halves) { b } else { a };
                let reach = |h: usize| farthest_squared(&self.parts[h], &self.parts[other]);
                let [near, far] = halves;
                let order = if reach(near) > reach(far) { [near, far] } else { [far, near] };
                for half in order {
                    self.pair(half, other);
                }
            }
        }
    }

    fn look_at(&mut self, p: &Part, q: &Part) {
        let (these, those) = (&self.points[p.from..p.to], &self.points[q.from..q.to]);
        let between = q.middle - p.middle;
        let along = between.normalize_or_zero();
        let off = |points: &[Vec3], middle: Vec3, way: Vec3| {
            points.iter().map(|x| way.dot(*x - middle)).fold(f64::NEG_INFINITY, f64::max)
        };
        if along != Vec3::ZERO {
            let length =
                between.length() + off(these, p.middle, -along) + off(those, q.middle, along);
            let most = length.max(0.0).hypot(p.radius + q.radius);
            // Room for what rounding takes off.
            if most * most * (1.0 + 1e-12) <= self.squared {
                return;
            }
        }
        for x in these {
            for y in those {
                self.squared = self.squared.max(x.distance_squared(*y));
            }
        }
    }
}

/// No two points of the boxes are farther apart than the root of this.
fn farthest_squared(p: &Part, q: &Part) -> f64 {
    (p.high - q.low).abs().max((q.high - p.low).abs()).length_squared()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn by_all_pairs(points: &[Vec3]) -> f64 {
        let of = |p: &Vec3| points.iter().map(|q| p.distance(*q)).fold(0.0, f64::max);
        points.iter().map(of).fold(0.0, f64::max)
    }

    /// Points strewn without a random number: fractions of multiples of irrational numbers.
    fn strewn(count: u32, stretch: Vec3) -> Vec<Vec3> {
        let point = |k: u32| {
            let f = f64::from(k);
            Vec3::new((f * 0.754877).fract(), (f * 0.569840).fract(), (f * 0.320).sin()) * stretch
        };
        (1..=count).map(point).collect()
    }

    #[test]
    fn it_is_what_all_pairs_give() {
        let flat = Vec3::new(1.0, 1.0, 0.0);
        for stretch in [Vec3::ONE, flat, Vec3::new(30.0, 1.0, 0.1), Vec3::X] {
            let points = strewn(3000, stretch);
            assert_eq!(diameter(points.clone()), by_all_pairs(&points));
            let ball: Vec<_> = points.iter().map(|p| (*p - 0.4 * stretch).normalize()).collect();
            assert_eq!(diameter(ball.clone()), by_all_pairs(&ball));
        }
        for count in 0..40 {
            let points = strewn(count, Vec3::ONE);
            assert_eq!(diameter(points.clone()), by_all_pairs(&points));
        }
        assert_eq!(diameter(vec![Vec3::ONE; 1000]), 0.0);
    }

    /// On a ball every point has one about as far as any: the hardest case there is.
    #[test]
    fn a_ball_of_many_points_takes_no_pairs_of_all() {
        let (rows, around) = (400, 500);
        let mut points = Vec::new();
        for row in 0..=rows {
            let polar = std::f64::consts::PI * f64::from(row) / f64::from(rows);
            for k in 0..around {
                let turn = std::f64::consts::TAU * f64::from(k) / f64::from(around);
                let ring = Vec3::new(turn.cos(), turn.sin(), 0.0) * polar.sin();
                points.push(50.0 * (ring + Vec3::Z * polar.cos()));
            }
        }
        assert!((diameter(points) - 100.0).abs() < 1e-12);
    }
}
