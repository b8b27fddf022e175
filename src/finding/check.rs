//! What is checked: a name for programs, which stays, and a title for people, which may be put better.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};
use std::borrow::Cow;

/// Declares checks: a variant, its name in JSON, its title, and `caution` where it may come out as one.
macro_rules! checks {
    (@may_be caution) => { true };
    (@may_be) => { false };
    ($(#[$about:meta])* $list:ident { $($variant:ident = $name:literal, $title:literal $(, $caution:ident)?;)* }) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $list {
            $(#[doc = $title] $variant,)*
        }

        impl $list {
            /// All of them, in the order of their declaration.
            pub const ALL: &[$list] = &[$($list::$variant),*];

            /// The name that programs know it by.
            pub const fn name(self) -> &'static str {
                match self { $($list::$variant => $name,)* }
            }

            /// In the trade's words.
            pub fn title(self) -> &'static str {
                match self { $($list::$variant => $title,)* }
            }

            /// May it come out as a caution?
            pub const fn may_be_a_caution(self) -> bool {
                match self { $($list::$variant => checks!(@may_be $($caution)?),)* }
            }
        }
    };
}

checks! {
    /// A check on a job: its boxes, its parts, and the sheets, machine and tools that are to make them.
    JobCheck {
        FrameRow = "frame-row", "frames the inside width takes", caution;
        FrameSpacing = "frame-spacing", "frames, centre to centre", caution;
        TopBarSpace = "top-bar-space", "space between top bars", caution;
        BeeSpaceEnds = "bee-space-ends", "bee space at the frame ends";
        BeeSpaceSides = "bee-space-sides", "bee space at the side walls";
        BeeSpaceAbove = "bee-space-above", "bee space above the top bars";
        FrameTops = "frame-tops", "frame tops below the upper edge";
        SpaceBelow = "space-below-frames", "space below the frames", caution;
        FrameRoom = "frame-room", "added boards clear of the frames";
        LugBearing = "lug-bearing", "lug bearing on the rest";
        LugPlay = "lug-play", "play at each lug end", caution;
        FramesLift = "frames-lift-out", "frames lift out";
        ComesOff = "cover-comes-off", "comes off";
        CoverPlay = "cover-play", "play along the box, in all", caution;
        CoverReach = "cover-reach", "reaches past the box";
        CoverHang = "cover-hang", "hangs down over the box", caution;
        StandsOn = "stands-on-box", "stands on another box";
        StackOutsides = "stack-outsides", "outsides differ by", caution;
        StackBeeSpace = "stack-bee-space", "bee space between the boxes", caution;
        WallThickness = "wall-thickness", "thickness of the walls", caution;
        VolumeInside = "volume-inside", "volume inside";
        CavityVolume = "cavity-volume", "volume of the cavity", caution;
        CavitySize = "cavity-size", "size of the cavity", caution;
        Chambers = "chambers", "chambers", caution;
        ChamberGap = "chamber-gap", "chamber, board to board";
        ChamberWidth = "chamber-width", "width of a chamber", caution;
        ChamberHeight = "chamber-height", "height of a chamber", caution;
        Landing = "landing", "landing below the chambers", caution;
        WayIn = "way-in", "a way in", caution;
        EntranceArea = "entrance-area", "area of all entrances", caution;
        EntranceHeight = "entrance-height", "centre above the floor", caution;
        EntranceWay = "entrance-way", "free way behind it";
        EntranceWidth = "entrance-width", "narrower way", caution;
        MouseWayIn = "mouse-way-in", "narrower way, for drones and mice", caution;
        RobberWayIn = "robber-way-in", "area of all entrances, for robbers", caution;
        HandholdOpen = "handhold-open", "handhold closed to bees", caution;
        VentArea = "vent-area", "area of all vents";
        VentMesh = "vent-mesh", "mesh over it", caution;
        MeshReach = "mesh-reach", "mesh reaches past it by", caution;
        MeshSeat = "mesh-seat", "clear of every other part";
        DrainHoles = "drain-holes", "drain holes", caution;
        HoleFree = "hole-free", "free on both faces";
        HoleToEdge = "hole-to-edge", "wood to the panel's edge";
        HoleToHole = "hole-to-hole", "wood to the next hole or recess";
        PartsApart = "parts-apart", "no two parts in one place";
        BoardSize = "board-size", "size of the board";
        BoardInside = "board-inside", "reaches out of the box by";
        BoardGroove = "board-groove", "depth of its grooves";
        PartsHeld = "parts-held", "every part is held";
        PartsGoTogether = "parts-go-together", "can be put together";
        CleatOverlap = "cleat-overlap", "cleats overlap what they are glued to", caution;
        RoofHeld = "roof-held", "the roof is held at more than one end", caution;
        WoodUnderRecess = "wood-under-recess", "wood left under a recess", caution;
        RestCleat = "rest-cleat", "height of the rest cleats";
        RestWall = "rest-wall", "thickness of walls with a rest rabbet";
        RestRabbet = "rest-rabbet", "width of the rest rabbet";
        RestRoom = "rest-room", "room for an inner wall and a rail";
        RestRail = "rest-rail", "rail beside the lugs";
        BlockRoom = "entrance-block", "way through the entrance block";
        CornerFingers = "corner-fingers", "height of a corner with fingers";
        CornerJoint = "corner-joint", "corner joint";
        FastenerHold = "fastener-hold", "holds in the edge by, at least", caution;
        FastenersCarry = "fasteners-carry", "fasteners alone carry", caution;
        FastenerPoint = "fastener-point", "point comes out by", caution;
        StockThickness = "stock-thickness", "works in stock of this thickness", caution;
        UnevenSheet = "uneven-sheet", "works where the sheet is thinnest";
        NominalThickness = "nominal-thickness", "thickness of a sheet sold as this", caution;
        ShortGrain = "short-grain", "no corner joint in short grain", caution;
        RestGrain = "rest-grain", "the lugs' rest runs along the grain", caution;
        GluedAcross = "glued-across-grain", "slides over glue across the grain by", caution;
        BoardMovement = "board-movement", "moves across its grain over a year";
        GlueLines = "glue-lines", "glue joints clear of holes", caution;
        SeasonFit = "season-fit", "fits from the driest to the dampest", caution;
        LiftEmpty = "lift-empty", "empty, with all that comes off it", caution;
        LiftFull = "lift-full", "the box alone, every frame full", caution;
        StockOfNothing = "stock-of-nothing", "stock is for something to cut", caution;
        PriceOfNothing = "price-of-nothing", "price is for something it takes", caution;
        RecessFaces = "recess-faces", "recesses in one face only";
        PanelStock = "panel-stock", "panel is as thick as what it is made from";
        PartFitsSheet = "part-fits-sheet", "part fits a sheet";
        SheetsOnHand = "sheets-on-hand", "sheets on hand";
        MostFromSheets = "most-from-sheets", "number from the sheets on hand";
        SheetOnMachine = "sheet-on-machine", "sheet fits the machine";
        SpindleParked = "spindle-parked", "where the spindle is parked";
        FeatureMade = "feature-made", "can be made";
        FeatureDepth = "feature-depth", "depth";
        FluteLength = "flute-length", "flute length";
        CutterWidth = "cutter-width", "width of the cutter";
        ReliefRoom = "relief-room", "room for the relief of a square corner";
        RecessesApart = "recesses-apart", "wood between two recesses";
        RecessUp = "recess-up", "recesses on one face";
        LastPass = "last-pass", "left for the last pass";
        FeedAsked = "feed-asked", "feed";
        SpeedAsked = "speed-asked", "speed";
        ToolTurns = "tool-turns", "speed of the tool";
        ToolChipLoad = "tool-chip-load", "chip load", caution;
        OnePass = "one-pass", "full depth in one pass", caution;
        FluteKind = "flute-kind", "kind of flute", caution;
        DrillPoint = "drill-point", "point of a drill into the spoilboard", caution;
        CutOtherwise = "cut-otherwise", "cut otherwise than asked", caution;
        PartsFurtherApart = "parts-further-apart", "parts further apart than asked", caution;
        Label = "engraved-label", "engraved label", caution;
        JointLines = "joint-lines", "joint lines", caution;
        ScrewHoles = "screw-holes", "holes for screws", caution;
        HoldDown = "hold-down", "hold-down", caution;
        OffCutHoles = "off-cut-holes", "holes in off-cuts", caution;
        PinDepth = "pin-depth", "registration pins";
        PinHoles = "pin-holes", "holes for registration pins";
        PinRoom = "pin-room", "room for registration pins";
        SawStages = "saw-stages", "stages of cuts";
        SawAccuracy = "saw-accuracy", "cuts that a size depends on", caution;
        SawSafety = "saw-safety", "cuts that no saw of the bench makes safely", caution;
        CutDownFirst = "cut-down-first", "cut to a clear piece first", caution;
        SawSquaring = "saw-squaring", "wood to square the sheet's end", caution;
    }
}

checks! {
    /// A check on a program that was replayed, in the order in which a proof tells of them.
    ProgramCheck {
        Gouge = "cut-into-part", "cut into a part";
        Beside = "cut-beside-gap", "cut beside the parts";
        LeftRound = "left-round-part", "left round a part";
        LeftInHole = "left-in-hole", "left in a hole";
        LeftInRecess = "left-in-recess", "left in a recess";
        Tabs = "tabs", "tabs that hold a part";
        TabWidth = "tab-width", "width of a tab";
        TabFoot = "tab-foot", "width of a tab's foot";
        TabHeight = "tab-height", "height of a tab";
        HoleDiameter = "hole-diameter", "diameter of a hole";
        HoleCentre = "hole-centre", "a hole's centre from its place";
        HoleDepth = "hole-depth", "depth of a hole";
        RecessDepth = "recess-depth", "depth of a recess";
        RapidInWood = "rapid-in-wood", "rapid move through wood";
        RapidHeight = "rapid-height", "height of sideways rapid moves";
        ReachX = "reach-x", "reach in X";
        ReachY = "reach-y", "reach in Y";
        ReachZ = "reach-z", "reach in Z";
        Spoilboard = "spoilboard", "cut into the spoilboard";
        Screws = "screws", "distance from a screw";
        KeptOut = "kept-out", "distance from what is kept out";
        ScrewStop = "screw-stop", "cuts before the screws are in";
        Pins = "pins", "distance from a registration pin";
        BeyondSheet = "beyond-sheet", "beyond the sheet's edge";
        ProgramOrder = "program-order", "programs run too early";
        CutFreed = "cut-when-freed", "cuts in a part nearly free";
        SpindleStands = "spindle-stands", "moves in wood, spindle standing";
        SpindleTurnsBack = "spindle-backwards", "moves in wood, spindle backwards";
        Speed = "spindle-speed", "spindle speed";
        ToolSpeed = "tool-speed", "speed of the tool";
        SpinUp = "spin-up", "time to come up to speed";
        Dwell = "dwell", "longest wait";
        NoFeed = "no-feed", "cuts without a feed";
        Feed = "feed", "feed";
        FeedDown = "feed-down", "feed straight down";
        ChipLoad = "advance-per-tooth", "advance per tooth";
        ThinChip = "thin-chip", "least advance per tooth";
        Blend = "path-blend", "corners rounded off";
        EntryAngle = "entry-angle", "angle into the wood";
        SidewaysDrill = "sideways-drill", "sideways cuts with a drill";
        Flute = "cut-depth", "depth of cut";
        Pass = "pass-depth", "depth of one pass";
        ChangeWhileTurning = "change-while-turning", "tool changes, spindle turning";
        StopWhileTurning = "stop-while-turning", "stops for hands, spindle turning";
        ChangeInWood = "change-in-wood", "tool changes, tool in the wood";
        NoChanger = "no-changer", "tool changes, no changer";
        UnknownTool = "unknown-tool", "tools that nobody told of";
        WrongLength = "wrong-length-offset", "length offsets not of this tool";
        EndsTurning = "ends-turning", "ends with the spindle turning";
        EndsInWood = "ends-in-wood", "ends with the tool in the wood";
        Assumed = "settings-assumed", "settings left to the machine";
        Away = "machine-zero-moves", "moves by the machine's own zero";
    }
}

impl JobCheck {
    /// The names of those that may come out as a caution, which a spec can accept.
    pub const CAUTION_NAMES: &[&str] = &CAUTION_NAMES;
}

const CAUTIONS: usize = {
    let (mut found, mut i) = (0, 0);
    while i < JobCheck::ALL.len() {
        found += JobCheck::ALL[i].may_be_a_caution() as usize;
        i += 1;
    }
    found
};

const CAUTION_NAMES: [&str; CAUTIONS] = {
    let mut names = [""; CAUTIONS];
    let (mut found, mut i) = (0, 0);
    while i < JobCheck::ALL.len() {
        if JobCheck::ALL[i].may_be_a_caution() {
            names[found] = JobCheck::ALL[i].name();
            found += 1;
        }
        i += 1;
    }
    names
};

/// A check, by its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Check {
    Job(JobCheck),
    Program(ProgramCheck),
}

impl From<JobCheck> for Check {
    fn from(check: JobCheck) -> Check {
        Check::Job(check)
    }
}

impl From<ProgramCheck> for Check {
    fn from(check: ProgramCheck) -> Check {
        Check::Program(check)
    }
}

impl Check {
    /// Every check there is.
    pub fn all() -> impl Iterator<Item = Check> {
        let of_jobs = JobCheck::ALL.iter().copied().map(Check::Job);
        of_jobs.chain(ProgramCheck::ALL.iter().copied().map(Check::Program))
    }

    /// The name that programs know it by: `bee-space-ends`.
    pub fn name(self) -> &'static str {
        match self {
            Check::Job(check) => check.name(),
            Check::Program(check) => check.name(),
        }
    }

    /// In the trade's words: `bee space at the frame ends`.
    pub fn title(self) -> &'static str {
        match self {
            Check::Job(check) => check.title(),
            Check::Program(check) => check.title(),
        }
    }
}

impl Serialize for Check {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.name())
    }
}

impl JsonSchema for Check {
    fn schema_name() -> Cow<'static, str> {
        "Check".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let names: Vec<&str> = Check::all().map(Check::name).collect();
        json_schema!({ "type": "string", "enum": names })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn every_check_has_a_name_of_its_own_that_programs_can_hold_on_to() {
        let mut seen = HashSet::new();
        for check in Check::all() {
            assert!(seen.insert(check.name()), "{} stands twice", check.name());
            assert!(check.name().chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{}", check.name());
            assert!(!check.title().is_empty());
        }
    }
}
