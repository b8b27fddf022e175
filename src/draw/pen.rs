//! The kinds of lines and areas a drawing is made of.

/// Red, green and blue, 0 to 255.
pub type Colour = [u8; 3];

const INK: Colour = [0x1a, 0x21, 0x26];
const GREY: Colour = [0x6d, 0x76, 0x7c];
const WHITE: Colour = [0xff, 0xff, 0xff];
/// Marks that a person must find: far from wood in hue and in lightness, for every kind of colour vision.
const MARK: Colour = [0x0b, 0x4f, 0x8a];

/// A kind of line or area. Widths are those of ISO 128's line group 0.5: wide 0.5 mm, narrow 0.25 mm; dashes, gaps and dots are its
/// multiples of the width (12, 3 and a half; long dashes 24).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Pen {
    /// The frame of the paper and its centring marks: 0.7 mm, as ISO 5457 has them.
    Border,
    /// Continuous wide: visible outlines.
    Thick,
    /// Continuous narrow: dimensions, extension lines, leaders.
    Thin,
    /// Dashed narrow: hidden outlines.
    Dashed,
    /// Long-dashed dotted narrow: axes and centres.
    Centre,
    /// Long-dashed double-dotted narrow: what stands beside it, or stood before.
    Phantom,
    /// Continuous, finer: hatching, rules of tables.
    Fine,
    /// Filled with ink: arrow heads.
    Solid,
    /// The paper itself.
    Paper,
    /// A sheet of wood, and pieces on it.
    Sheet,
    Wood,
    /// The face of a part, without its outline, and an edge of it.
    Board,
    Edge,
    /// Faces of wood in a view, by how much they are turned to the light; of what a step adds; of frames.
    WoodLight,
    WoodMiddle,
    WoodDark,
    AddedLight,
    AddedMiddle,
    AddedDark,
    Frame,
    /// Glue on a surface, and its hatching; something flat that is fixed on.
    Glue,
    GlueLine,
    Fitting,
    /// An arrow that shows where something moves.
    Arrow,
    /// The border of a cell of a page.
    Cell,
    /// What a section cuts.
    CutWood,
    CutFrame,
    /// An opening, and a recess that does not go through.
    Hole,
    Recess,
    /// Something marked for the maker's eye: a line, a fine one, and an area.
    Mark,
    MarkFine,
    Marked,
    /// On a sheet to be sawn: wood that is not kept, and pieces, both without outlines.
    Waste,
    Piece,
    /// Cuts along the guide, at the fence, at the gauge and by hand.
    CutWide,
    Cut,
    CutDashed,
    CutDotted,
}

/// How a [`Pen`] looks. Lengths in millimetres on paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// Its name in a file.
    pub class: &'static str,
    pub fill: Option<Colour>,
    pub stroke: Option<Colour>,
    pub width: f64,
    /// Lengths of dashes and gaps in turn; empty for a continuous line.
    pub dashes: &'static [f64],
}

const fn line(class: &'static str, width: f64, dashes: &'static [f64]) -> Look {
    Look { class, fill: None, stroke: Some(INK), width, dashes }
}

const fn area(class: &'static str, fill: Colour, width: f64) -> Look {
    Look { class, fill: Some(fill), stroke: Some(INK), width, dashes: &[] }
}

impl Pen {
    /// A recess is filled in the face that is seen; one in the face below is a hidden outline.
    pub(super) fn recess(under: bool) -> Pen {
        if under { Pen::Dashed } else { Pen::Recess }
    }

    pub fn look(self) -> Look {
        match self {
            Pen::Border => line("border", 0.7, &[]),
            Pen::Thick => line("thick", 0.5, &[]),
            Pen::Thin => line("thin", 0.25, &[]),
            Pen::Dashed => line("dashed", 0.25, &[3.0, 0.75]),
            Pen::Centre => line("centre", 0.25, &[6.0, 0.75, 0.125, 0.75]),
            Pen::Phantom => line("phantom", 0.25, &[6.0, 0.75, 0.125, 0.75, 0.125, 0.75]),
            Pen::Fine => Look { stroke: Some(GREY), ..line("fine", 0.18, &[]) },
            Pen::Solid => Look { stroke: None, ..area("solid", INK, 0.0) },
            Pen::Paper => Look { stroke: None, ..area("paper", WHITE, 0.0) },
            Pen::Sheet => area("sheet", [0xfb, 0xf8, 0xf2], 0.5),
            Pen::Wood => area("wood", [0xf3, 0xe6, 0xcf], 0.35),
            Pen::Board => Look { stroke: None, ..area("board", [0xfd, 0xfa, 0xf4], 0.0) },
            Pen::Edge => area("edge", [0xfd, 0xfa, 0xf4], 0.5),
            Pen::WoodLight => area("wood-light", [0xf8, 0xee, 0xdb], 0.25),
            Pen::WoodMiddle => area("wood-middle", [0xec, 0xdb, 0xbb], 0.25),
            Pen::WoodDark => area("wood-dark", [0xd9, 0xc2, 0x99], 0.25),
            Pen::AddedLight => area("added-light", [0xcf, 0xe5, 0xf5], 0.5),
            Pen::AddedMiddle => area("added-middle", [0xa5, 0xcd, 0xea], 0.5),
            Pen::AddedDark => area("added-dark", [0x74, 0xab, 0xd4], 0.5),
            Pen::Frame => area("frame", [0xf0, 0xf2, 0xf3], 0.25),
            Pen::Glue => Look { stroke: Some(MARK), ..area("glue", [0xff, 0xff, 0xff], 0.35) },
            Pen::GlueLine => Look { stroke: Some(MARK), ..line("glue-line", 0.25, &[]) },
            Pen::Fitting => area("fitting", [0x9a, 0xa7, 0xb0], 0.35),
            Pen::Arrow => area("arrow", WHITE, 0.35),
            Pen::Cell => Look { stroke: Some(GREY), ..line("cell", 0.18, &[]) },
            Pen::CutWood => area("cut-wood", [0xf3, 0xe6, 0xcf], 0.5),
            Pen::CutFrame => area("cut-frame", [0xdd, 0xe1, 0xe4], 0.5),
            Pen::Hole => area("hole", WHITE, 0.25),
            Pen::Recess => area("recess", [0xe0, 0xcd, 0xa9], 0.25),
            Pen::Mark => Look { stroke: Some(MARK), ..line("mark", 0.5, &[]) },
            Pen::MarkFine => Look { stroke: Some(MARK), ..line("mark-fine", 0.25, &[3.0, 1.0]) },
            Pen::Waste => Look { stroke: None, ..area("waste", [0xfd, 0xfb, 0xf7], 0.0) },
            Pen::Piece => Look { stroke: None, ..area("piece", [0xf0, 0xe0, 0xc3], 0.0) },
            Pen::CutWide => line("cut-wide", 0.7, &[]),
            Pen::Cut => line("cut", 0.35, &[]),
            Pen::CutDashed => line("cut-dashed", 0.5, &[3.0, 1.2]),
            Pen::CutDotted => line("cut-dotted", 0.5, &[5.0, 1.2, 0.6, 1.2]),
            Pen::Marked => area("marked", [0xb9, 0xd8, 0xf0], 0.35),
        }
    }
}
