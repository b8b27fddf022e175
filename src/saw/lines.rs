//! The edges there are, what each was measured from, and how a dimension between two of them gathers error.
//!
//! The place of an edge is the place of the edge it was measured from, the measure, and that cut's own error. So the
//! distance of two edges depends on just those cuts by which their lines of descent differ: a piece measured from its own
//! other edge depends on one cut, a piece between two marks from the sheet's end on two. The same goes for angles, with
//! the edge that a cut was guided by.

use super::step::Edge;

/// A made or bought edge.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    pub edge: Edge,
    /// The line it was measured from; `None` for a reference.
    pub from: Option<usize>,
    /// How far off that measure may be (mm).
    pub error: f64,
    /// The line that guided the cut, by fence, gauge or square.
    pub guide: Option<usize>,
    /// How far the cut may run away from its guide (mm a metre).
    pub skew: f64,
}

/// How a dimension came about.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Gathered {
    /// Cuts that it depends on.
    pub cuts: usize,
    /// At worst, with all of them off to the same side (mm).
    pub error: f64,
}

#[derive(Clone, Debug, Default)]
pub(super) struct Lines(Vec<Line>);

impl Lines {
    pub fn add(&mut self, line: Line) -> usize {
        self.0.push(line);
        self.0.len() - 1
    }

    pub fn edge(&self, line: usize) -> Edge {
        self.0[line].edge
    }

    /// The distance of two edges, `extent` being how long they are.
    pub fn dimension(&self, a: usize, b: usize, extent: f64) -> Gathered {
        let (mut cuts, mut error) = (0, 0.0);
        self.apart(
            a,
            b,
            |line| line.from,
            |line| {
                if line.error > 0.0 || matches!(line.edge, Edge::CutIn(_) | Edge::Factory) {
                    cuts += 1;
                }
                error += line.error;
            },
        );
        error += self.skew(a, b) * extent / 1000.0;
        Gathered { cuts, error }
    }

    /// How far two edges may run out of parallel or square (mm a metre).
    pub fn skew(&self, a: usize, b: usize) -> f64 {
        let mut skew = 0.0;
        self.apart(a, b, |line| line.guide, |line| skew += line.skew);
        skew
    }

    /// Visits the lines that one of the two descends from and the other does not. A line's ancestors have lower numbers.
    fn apart(&self, a: usize, b: usize, elder: impl Fn(&Line) -> Option<usize>, mut visit: impl FnMut(&Line)) {
        let (mut a, mut b) = (Some(a), Some(b));
        while a != b {
            let later = if a > b { &mut a } else { &mut b };
            // `None` is less than any number, so the later of two different lines is there.
            let Some(index) = *later else { return };
            visit(&self.0[index]);
            *later = elder(&self.0[index]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(lines: &mut Lines, step: usize, from: usize, guide: usize) -> usize {
        lines.add(Line { edge: Edge::CutIn(step), from: Some(from), error: 0.5, guide: Some(guide), skew: 1.0 })
    }

    #[test]
    fn a_strip_from_its_own_edge_depends_on_one_cut_however_late_it_comes() {
        let mut lines = Lines::default();
        let reference = lines.add(Line { edge: Edge::LongReference, from: None, error: 0.0, guide: None, skew: 0.0 });
        let mut edge = reference;
        for step in 0..10 {
            let next = cut(&mut lines, step, edge, edge);
            let gathered = lines.dimension(edge, next, 1000.0);
            assert_eq!(gathered.cuts, 1);
            assert!((gathered.error - 1.5).abs() < 1e-12);
            edge = next;
        }
        // The whole stack of ten strips depends on ten.
        assert_eq!(lines.dimension(reference, edge, 0.0), Gathered { cuts: 10, error: 5.0 });
    }

    #[test]
    fn a_strip_between_two_marks_depends_on_both() {
        let mut lines = Lines::default();
        let reference = lines.add(Line { edge: Edge::LongReference, from: None, error: 0.0, guide: None, skew: 0.0 });
        let (near, far) = (cut(&mut lines, 0, reference, reference), cut(&mut lines, 1, reference, reference));
        assert_eq!(lines.dimension(near, far, 500.0), Gathered { cuts: 2, error: 1.0 + 1.0 });
    }
}
