//! What a design needs to know of the wood.

use crate::units::INCH;

/// The wood that a box is built of. Lengths in millimetres.
#[derive(Clone, Debug)]
pub struct Board {
    /// As measured, or another thickness that a check wants to try.
    pub thickness: f64,
    /// Both faces may show.
    pub faces_alike: bool,
    /// Diameter of the end mill that cuts it; `None` where nothing is cut by CNC.
    pub cutter: Option<f64>,
    /// Panels that are made from other wood.
    pub others: Vec<OtherWood>,
}

/// Panels that are not made from what the rest of the box is.
#[derive(Clone, Debug)]
pub struct OtherWood {
    /// Which: a family of panels, or a group of families, see [`is_among`].
    pub panels: String,
    pub thickness: f64,
}

impl Board {
    /// A whole box from one thickness.
    pub const fn plain(thickness: f64, cutter: Option<f64>) -> Board {
        Board { thickness, faces_alike: true, cutter, others: Vec::new() }
    }

    /// Diameter of the cutter, or of one that is usual for such work: joints are made to suit router and saw.
    pub fn cutter_or_usual(&self) -> f64 {
        self.cutter.unwrap_or(INCH / 4.0)
    }

    /// How thick the panels of a family are: `floor`, `rest cleat`.
    pub fn of(&self, family: &str) -> f64 {
        let other = chosen(&self.others, family, |other| &other.panels);
        other.map_or(self.thickness, |other| other.thickness)
    }
}

/// Is a family of panels among those that are called so? A family goes by its own name, `rest cleat`; as one of a group by its
/// last word, `cleats`; and what stands between inside and outside as `walls`.
pub fn is_among(family: &str, called: &str) -> bool {
    const WALLS: [&str; 4] = ["side", "front", "back", "end"];
    let one = called.strip_suffix('s').unwrap_or(called);
    let last = family.rsplit(' ').next().unwrap_or(family);
    family == called || family == one || last == one || (called == "walls" && WALLS.contains(&family))
}

/// Of these the one that says what a family is made from: its own name goes before that of a group.
pub fn chosen<'a, T>(all: &'a [T], family: &str, called: impl Fn(&T) -> &str) -> Option<&'a T> {
    let own = all.iter().find(|one| called(one) == family);
    own.or_else(|| all.iter().find(|one| is_among(family, called(one))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_family_goes_by_its_name_before_its_group() {
        let other = |panels: &str, thickness| OtherWood { panels: panels.into(), thickness };
        let others = vec![other("cleats", 20.0), other("cover cleat", 25.0), other("walls", 18.0)];
        let board = Board { others, ..Board::plain(12.0, None) };
        let families = ["rest cleat", "cover cleat", "side", "front", "floor", "cover side rim"];
        assert_eq!(families.map(|family| board.of(family)), [20.0, 25.0, 18.0, 18.0, 12.0, 12.0]);
    }
}
