//! A smooth rising curve through measured points.

/// Shares from zero to one, evenly spaced.
pub fn evenly(points: usize) -> impl Iterator<Item = f64> {
    let last = points.saturating_sub(1).max(1) as f64;
    (0..points).map(move |point| point as f64 / last)
}

/// A rising curve through points, in cubic pieces.
///
/// It is the cubic spline with continuous second derivative and not-a-knot ends, so that a wheel rate has no
/// jumps. Only where that spline would fall somewhere it is the monotone cubic, whose second derivative jumps
/// at the points.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    first: Piece,
    more: Vec<Piece>,
    end: f64,
}

/// One cubic, with its derivatives at its start.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Piece {
    start: f64,
    value: f64,
    slope: f64,
    second: f64,
    third: f64,
}

/// From one point to the next.
#[derive(Clone, Copy)]
struct Step {
    width: f64,
    slope: f64,
}

/// Why there is no rising curve through some points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CurveFault {
    /// Fewer than two points.
    TooFew,
    /// The point with this number, from zero, is not ahead of and above the one before.
    NotRising { point: usize },
}

impl Curve {
    /// The curve through `points`: with two a straight line, with three a parabola.
    ///
    /// **Source** C. de Boor, *A Practical Guide to Splines*, ch. IV (not-a-knot); F. N. Fritsch and
    /// R. E. Carlson, *SIAM J. Numer. Anal.* 17 (1980) 238 (monotone).
    pub fn through(points: &[(f64, f64)]) -> Result<Curve, CurveFault> {
        let pairs = || points.iter().zip(points.iter().skip(1));
        let rises = |(from, to): (&(f64, f64), &(f64, f64))| to.0 > from.0 && to.1 > from.1;
        if let Some(step) = pairs().position(|pair| !rises(pair)) {
            return Err(CurveFault::NotRising { point: step + 1 });
        }
        let steps: Vec<Step> = pairs()
            .map(|(from, to)| Step { width: to.0 - from.0, slope: (to.1 - from.1) / (to.0 - from.0) })
            .collect();
        let parabolas = parabola_slopes(&steps).ok_or(CurveFault::TooFew)?;
        let spline =
            Curve::with_slopes(points, &steps, &spline_slopes(&steps).unwrap_or_else(|| parabolas.clone()));
        let curve = match spline {
            Some(curve) if curve.rises() => Some(curve),
            _ => Curve::with_slopes(points, &steps, &limit(&steps, parabolas)),
        };
        curve.ok_or(CurveFault::TooFew)
    }

    fn with_slopes(points: &[(f64, f64)], steps: &[Step], slopes: &[f64]) -> Option<Curve> {
        let ends = slopes.iter().zip(slopes.iter().skip(1));
        let mut pieces = points.iter().zip(steps).zip(ends).map(|((&(start, value), step), (&from, &to))| {
            let bend = (3.0 * step.slope - 2.0 * from - to) / step.width;
            let twist = (from + to - 2.0 * step.slope) / (step.width * step.width);
            Piece { start, value, slope: from, second: 2.0 * bend, third: 6.0 * twist }
        });
        let first = pieces.next()?;
        Some(Curve { first, more: pieces.collect(), end: points.last()?.0 })
    }

    /// The last place that was measured.
    pub fn end(&self) -> f64 {
        self.end
    }

    /// The value and its first three derivatives; beyond the ends, of the last piece carried on.
    pub fn derivatives(&self, place: f64) -> [f64; 4] {
        self.more.iter().rev().find(|piece| piece.start <= place).unwrap_or(&self.first).derivatives(place)
    }

    fn pieces(&self) -> impl Iterator<Item = &Piece> {
        std::iter::once(&self.first).chain(&self.more)
    }

    fn rises(&self) -> bool {
        let ends = self.more.iter().map(|piece| piece.start).chain([self.end]);
        self.pieces().zip(ends).all(|(piece, end)| piece.least_slope(end) > 0.0)
    }
}

impl Piece {
    fn derivatives(&self, place: f64) -> [f64; 4] {
        let t = place - self.start;
        let second = self.second + self.third * t;
        let slope = self.slope + t * (self.second + t * self.third / 2.0);
        let value = self.value + t * (self.slope + t * (self.second / 2.0 + t * self.third / 6.0));
        [value, slope, second, self.third]
    }

    fn least_slope(&self, end: f64) -> f64 {
        let slope = |place: f64| {
            let [_, slope, ..] = self.derivatives(place);
            slope
        };
        let turn = self.start - self.second / self.third;
        let at_turn = if turn > self.start && turn < end { slope(turn) } else { f64::INFINITY };
        slope(self.start).min(slope(end)).min(at_turn)
    }
}

/// Slopes at the points, each from the parabola through three neighbours; at the ends one-sided.
fn parabola_slopes(steps: &[Step]) -> Option<Vec<f64>> {
    let inside = steps.iter().zip(steps.iter().skip(1));
    let mean = |(a, b): (&Step, &Step)| (b.width * a.slope + a.width * b.slope) / (a.width + b.width);
    let end = |near: &Step, next: Option<&Step>| match next {
        Some(next) => near.slope + near.width * (near.slope - next.slope) / (near.width + next.width),
        None => near.slope,
    };
    let mut backwards = steps.iter().rev();
    let last = end(backwards.next()?, backwards.next());
    let first = end(steps.first()?, steps.get(1));
    Some(std::iter::once(first).chain(inside.map(mean)).chain([last]).collect())
}

/// Slopes that make the second derivative continuous, and the third at the two outermost inner points; `None`
/// for fewer than four points, for which these conditions are not enough.
///
/// Multiplied out, each end condition has only two slopes, so the system stays tridiagonal.
fn spline_slopes(steps: &[Step]) -> Option<Vec<f64>> {
    let [first, second, _, ..] = steps else { return None };
    let end = |near: &Step, next: &Step| {
        let both = near.width + next.width;
        let right = ((near.width + 2.0 * both) * next.width * near.slope
            + near.width * near.width * next.slope)
            / both;
        (next.width, both, right)
    };
    let [.., before_last, last] = steps else { return None };
    let (diagonal, above, right) = end(first, second);
    let mut rows = vec![Row { below: 0.0, diagonal, above, right }];
    rows.extend(steps.iter().zip(steps.iter().skip(1)).map(|(a, b)| Row {
        below: b.width,
        diagonal: 2.0 * (a.width + b.width),
        above: a.width,
        right: 3.0 * (b.width * a.slope + a.width * b.slope),
    }));
    let (diagonal, below, right) = end(last, before_last);
    rows.push(Row { below, diagonal, above: 0.0, right });
    Some(solve(&rows))
}

/// One equation with up to three neighbouring unknowns.
struct Row {
    below: f64,
    diagonal: f64,
    above: f64,
    right: f64,
}

/// Solves a tridiagonal system by elimination.
fn solve(rows: &[Row]) -> Vec<f64> {
    let mut swept = Vec::with_capacity(rows.len());
    let (mut above, mut right) = (0.0, 0.0);
    for row in rows {
        let pivot = row.diagonal - row.below * above;
        right = (row.right - row.below * right) / pivot;
        above = row.above / pivot;
        swept.push((above, right));
    }
    let mut next = 0.0;
    let mut unknowns: Vec<f64> = swept
        .into_iter()
        .rev()
        .map(|(above, right)| {
            next = right - above * next;
            next
        })
        .collect();
    unknowns.reverse();
    unknowns
}

/// Limits slopes until every piece rises: into the quarter circle `α² + β² ≤ 9`, step by step.
fn limit(steps: &[Step], slopes: Vec<f64>) -> Vec<f64> {
    let mut slopes: Vec<f64> = slopes.into_iter().map(|slope| slope.max(0.0)).collect();
    for (index, step) in steps.iter().enumerate() {
        if let Some([from, to]) = slopes.get_mut(index..index + 2) {
            let square = (*from * *from + *to * *to) / (step.slope * step.slope);
            if square > 9.0 {
                let scale = 3.0 / square.sqrt();
                *from *= scale;
                *to *= scale;
            }
        }
    }
    slopes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cubic_is_drawn_exactly() {
        // Not-a-knot ends: points on one cubic give that cubic.
        let cubic = |x: f64| x + 0.2 * x * x + 0.05 * x * x * x;
        let points: Vec<_> = [0.0, 0.5, 1.1, 2.0, 3.0].iter().map(|&x| (x, cubic(x))).collect();
        let curve = Curve::through(&points).unwrap();
        for place in [0.1, 0.7, 1.9, 2.4, 3.0] {
            let [value, slope, second, third] = curve.derivatives(place);
            assert!((value - cubic(place)).abs() < 1e-14);
            assert!((slope - (1.0 + 0.4 * place + 0.15 * place * place)).abs() < 1e-13);
            assert!((second - (0.4 + 0.3 * place)).abs() < 1e-12);
            assert!((third - 0.3).abs() < 1e-11);
        }
    }

    #[test]
    fn few_points_give_a_line_and_a_parabola() {
        let line = Curve::through(&[(0.0, 0.0), (2.0, 1.0)]).unwrap();
        assert_eq!(line.derivatives(1.0), [0.5, 0.5, 0.0, 0.0]);
        let parabola = Curve::through(&[(0.0, 0.0), (1.0, 2.0), (3.0, 12.0)]).unwrap();
        let [value, slope, second, third] = parabola.derivatives(2.0);
        assert!((value - 6.0).abs() < 1e-14 && (slope - 5.0).abs() < 1e-14);
        assert!((second - 2.0).abs() < 1e-14 && third.abs() < 1e-14);
    }

    #[test]
    fn points_that_do_not_rise_are_named() {
        assert_eq!(Curve::through(&[(0.0, 0.0)]), Err(CurveFault::TooFew));
        assert_eq!(Curve::through(&[]), Err(CurveFault::TooFew));
        let falls = Curve::through(&[(0.0, 0.0), (1.0, 1.0), (2.0, 0.5)]);
        assert_eq!(falls, Err(CurveFault::NotRising { point: 2 }));
        let unordered = Curve::through(&[(0.0, 0.0), (0.0, 1.0)]);
        assert_eq!(unordered, Err(CurveFault::NotRising { point: 1 }));
        assert_eq!(Curve::through(&[(0.0, 0.0), (f64::NAN, 1.0)]), Err(CurveFault::NotRising { point: 1 }));
    }

    #[test]
    fn a_lumpy_table_still_rises() {
        let points = [(0.0, 0.0), (40.0, 30.0), (80.0, 32.0), (120.0, 34.0), (300.0, 160.0)];
        let curve = Curve::through(&points).unwrap();
        for step in 0..300 {
            let [value, slope, ..] = curve.derivatives(f64::from(step));
            let [later, ..] = curve.derivatives(f64::from(step + 1));
            assert!(slope >= 0.0 && later > value);
        }
    }
}
