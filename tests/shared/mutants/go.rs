//! A move of a tool's tip, and what it passes over.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// A move of the tip, in millimetres, heights from the sheet's upper face. `NAN` is a coordinate that is not known.
#[derive(Clone, Debug)]
pub struct Go {
    pub line: usize,
    pub rapid: bool,
    pub from: [f64; 3],
    pub to: [f64; 3],
    /// Centre, and angle swept, positive counter-clockwise.
    pub arc: Option<([f64; 2], f64)>,
    pub tool: Option<u32>,
    pub radius: f64,
    /// How far a drill's centre point reaches below its edges, whose heights these are.
    pub point: f64,
    /// Millimetres a minute; 0 for none.
    pub feed: f64,
    /// Clockwise 1, backwards -1, standing 0.
    pub turns: i32,
    pub speed: f64,
    pub waited: f64,
    /// How often the programs stopped before it, for a hand or for another tool, or ended.
    pub stops: u32,
}

impl Go {
    /// Does it cut the same?
    pub fn same(&self, other: &Go) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() < 1e-9 || (a.is_nan() && b.is_nan());
        let arcs = match (self.arc, other.arc) {
            (None, None) => true,
            (Some((a, s)), Some((b, t))) => near(a[0], b[0]) && near(a[1], b[1]) && near(s, t),
            _ => false,
        };
        arcs && self.rapid == other.rapid
            && near(self.radius, other.radius)
            && (0..3).all(|i| near(self.from[i], other.from[i]) && near(self.to[i], other.to[i]))
    }

    pub fn known(&self) -> bool {
        self.from.iter().chain(&self.to).all(|it| it.is_finite())
    }

    pub fn lowest(&self) -> f64 {
        self.from[2].min(self.to[2])
    }

    pub fn tip(&self) -> f64 {
        self.lowest() - self.point
    }

    pub fn length(&self) -> f64 {
        match self.arc {
            Some((centre, sweep)) => (self.from[0] - centre[0]).hypot(self.from[1] - centre[1]) * sweep.abs(),
            None => (self.to[0] - self.from[0]).hypot(self.to[1] - self.from[1]),
        }
    }

    pub fn at(&self, t: f64) -> [f64; 3] {
        let z = self.from[2] + (self.to[2] - self.from[2]) * t;
        match self.arc {
            None => [self.from[0] + (self.to[0] - self.from[0]) * t, self.from[1] + (self.to[1] - self.from[1]) * t, z],
            Some((c, sweep)) => {
                let (sin, cos) = (sweep * t).sin_cos();
                let (x, y) = (self.from[0] - c[0], self.from[1] - c[1]);
                [c[0] + x * cos - y * sin, c[1] + x * sin + y * cos, z]
            }
        }
    }

    /// Low and high corner of where the tip goes.
    pub fn bounds(&self) -> [f64; 4] {
        if let Some((c, sweep)) = self.arc {
            let r = (self.from[0] - c[0]).hypot(self.from[1] - c[1]);
            let start = (self.from[1] - c[1]).atan2(self.from[0] - c[0]);
            let mut b = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
            let mut hold = |p: [f64; 2]| {
                b = [b[0].min(p[0]), b[1].min(p[1]), b[2].max(p[0]), b[3].max(p[1])];
            };
            hold([self.at(0.0)[0], self.at(0.0)[1]]);
            hold([self.at(1.0)[0], self.at(1.0)[1]]);
            // The quarter points of its circle that it goes over.
            let (low, high) = (start.min(start + sweep), start.max(start + sweep));
            let first = (low / FRAC_PI_2).ceil() as i64;
            let last = (high / FRAC_PI_2).floor() as i64;
            for quarter in first..=last.min(first + 3) {
                let (sin, cos) = (quarter as f64 * FRAC_PI_2).sin_cos();
                hold([c[0] + r * cos, c[1] + r * sin]);
            }
            return b;
        }
        let (a, b) = (self.from, self.to);
        [a[0].min(b[0]), a[1].min(b[1]), a[0].max(b[0]), a[1].max(b[1])]
    }

    /// The lowest that the tip comes while it is within its radius of a place; `None` where it never is.
    pub fn over(&self, p: [f64; 2]) -> Option<f64> {
        let b = self.bounds();
        let r = self.radius;
        if p[0] < b[0] - r || p[0] > b[2] + r || p[1] < b[1] - r || p[1] > b[3] + r {
            return None;
        }
        if self.arc.is_some() {
            return self.over_arc(p);
        }
        let (dx, dy) = (self.to[0] - self.from[0], self.to[1] - self.from[1]);
        let (px, py) = (p[0] - self.from[0], p[1] - self.from[1]);
        let long = dx.hypot(dy);
        if long < 1e-9 {
            return (px.hypot(py) <= r).then(|| self.lowest());
        }
        let (along, aside) = ((px * dx + py * dy) / long, (px * dy - py * dx) / long);
        if aside.abs() > r {
            return None;
        }
        let half = (r * r - aside * aside).sqrt();
        let (from, to) = (((along - half) / long).max(0.0), ((along + half) / long).min(1.0));
        (from <= to).then(|| self.at(from)[2].min(self.at(to)[2]))
    }

    fn over_arc(&self, p: [f64; 2]) -> Option<f64> {
        let (c, sweep) = self.arc?;
        let round = (self.from[0] - c[0]).hypot(self.from[1] - c[1]);
        let (px, py) = (p[0] - c[0], p[1] - c[1]);
        let away = px.hypot(py);
        if (away - round).abs() > self.radius {
            return None;
        }
        // Places on the circle within the tool's radius of it lie this angle to both sides of its direction.
        let cos = (round * round + away * away - self.radius * self.radius) / (2.0 * round * away).max(1e-12);
        let half = if cos <= -1.0 { PI } else { cos.min(1.0).acos() };
        let start = (self.from[1] - c[1]).atan2(self.from[0] - c[0]);
        let mut middle = py.atan2(px) - start;
        if sweep < 0.0 {
            middle = -middle;
        }
        let turn = sweep.abs();
        let mut lowest: Option<f64> = None;
        for k in -2..=2 {
            let middle = middle + f64::from(k) * TAU;
            let (from, to) = ((middle - half).max(0.0), (middle + half).min(turn));
            if from <= to {
                let z = self.at(from / turn)[2].min(self.at(to / turn)[2]);
                lowest = Some(lowest.map_or(z, |was| was.min(z)));
            }
        }
        lowest
    }
}
