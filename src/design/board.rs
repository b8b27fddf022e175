//! What a design needs to know of the wood.

use crate::units::INCH;

/// The wood that a box is built of. Lengths in millimetres.
#[derive(Clone, Copy, Debug)]
pub struct Board {
    /// As measured, or another thickness that a check wants to try.
    pub thickness: f64,
    /// Both faces may show.
    pub faces_alike: bool,
    /// Diameter of the end mill that cuts it; `None` where nothing is cut by CNC.
    pub cutter: Option<f64>,
}

impl Board {
    /// Diameter of the cutter, or of one that is usual for such work: joints are made to suit router and saw.
    pub fn cutter_or_usual(&self) -> f64 {
        self.cutter.unwrap_or(INCH / 4.0)
    }
}
