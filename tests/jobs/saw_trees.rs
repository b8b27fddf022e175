//! Saw plans of any tree of guillotine cuts, such as no packer would make.

use crate::shared::make;
use nestwright::Made;
use nestwright::layout::{Axis, Content, Pattern, Strip, Turn};
use nestwright::saw::replay;
use proptest::prelude::*;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    /// Whatever the tree of cuts, however deep and however its pieces lie in their rectangles.
    #[test]
    fn any_tree_of_cuts_gives_its_parts(
        dice in prop::collection::vec(any::<u32>(), 200),
        trim in prop::sample::select(vec![0.0, 4.0]),
        kerf in prop::sample::select(vec![0.0, 3.0]),
    ) {
        let mut tree = Tree { dice: dice.iter(), kerf, parts: Vec::new() };
        let content = tree.grow([2440.0 - 2.0 * trim, 1220.0 - 2.0 * trim], 4);
        prop_assume!(!tree.parts.is_empty() && tree.parts.len() < 120);
        let Some((made, pattern)) = job_of_tree(&tree.parts, content, trim, kerf) else { return Ok(()) };
        let plan = nestwright::saw::plan(&made.job, &made.assemblies, &made.parts, std::slice::from_ref(&pattern));
        let plan = plan.unwrap_or_else(|why| panic!("{why}"));
        let saw = made.job.saw.as_ref().expect("given");
        prop_assert_eq!(replay(&plan, &made.parts, saw), Vec::<String>::new());
        prop_assert_eq!(plan.pieces.len(), made.parts.len());
    }
}

/// Any tree of guillotine cuts: how a rectangle is split, and what the leaves become, is drawn from `dice`.
struct Tree<'a> {
    dice: std::slice::Iter<'a, u32>,
    kerf: f64,
    /// Sizes of the parts so far, along x and along y.
    parts: Vec<[f64; 2]>,
}

impl Tree<'_> {
    fn throw(&mut self, sides: u32) -> u32 {
        self.dice.next().copied().unwrap_or(0) % sides
    }

    fn grow(&mut self, size: [f64; 2], depth: u32) -> Content {
        let axis = if self.throw(2) == 0 { Axis::X } else { Axis::Y };
        let i = usize::from(axis == Axis::Y);
        let strips = if depth == 0 || size[i] < 160.0 { 1 } else { 1 + self.throw(4) };
        if strips > 1 {
            // Sizes in tenths of a millimetre, as people write them; the last strip takes the rest.
            let share = (size[i] / f64::from(strips) - self.kerf) * (0.6 + 0.1 * f64::from(self.throw(4)));
            let share = (share * 10.0).floor() / 10.0;
            let mut rest = size[i];
            let mut list = Vec::new();
            for number in 0..strips {
                let last = number + 1 == strips;
                let strip = if last { rest } else { share };
                let mut inner = size;
                inner[i] = strip;
                list.push(Strip { size: strip, content: self.grow(inner, depth - 1) });
                rest -= strip + self.kerf;
            }
            return Content::Split { axis, strips: list };
        }
        match self.throw(6) {
            0 => Content::Left,
            // Somewhat smaller than the rectangle it lies in, or just as large.
            small => {
                let less = [0.0, 0.0, 1.5, 20.0, 60.0][small as usize % 5];
                let fit = |side: f64| ((if side > less + 15.0 { side - less } else { side }) * 10.0).floor() / 10.0;
                self.parts.push([fit(size[0]), fit(size[1])]);
                Content::Part { part: self.parts.len() - 1, turn: Turn::None }
            }
        }
    }
}

/// The parts of a tree as a job's loose parts, and the pattern with them in it.
fn job_of_tree(parts: &[[f64; 2]], content: Content, trim: f64, kerf: f64) -> Option<(Made, Pattern)> {
    let mut spec = format!(
        "title = \"tree\"\nstock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = 12, trim = {trim:.1} }}\n"
    );
    for (i, [x, y]) in parts.iter().enumerate() {
        if x.min(*y) < 10.0 {
            return None;
        }
        spec.push_str(&format!("[[part]]\nname = \"p{i}\"\nsize = [{x:.1}, {y:.1}]\ngrain = \"any\"\n"));
    }
    let mut made = make(&spec);
    let bench = nestwright::profile::Profiles::built_in().find("table-saw").expect("built in");
    made.job.saw = Some(nestwright::job::Saw { kerf, bench, together: 1, stages: None });
    let pattern = Pattern {
        stock: 0,
        length: 2440.0,
        width: 1220.0,
        thickness: 12.0,
        trim,
        kerf,
        content: placed(content, &made),
    };
    Some((made, pattern))
}

/// The same tree with the job's own numbers of the parts, each turned as it lay.
fn placed(content: Content, made: &Made) -> Content {
    match content {
        Content::Left => Content::Left,
        Content::Split { axis, strips } => Content::Split {
            axis,
            strips: strips
                .into_iter()
                .map(|strip| Strip { size: strip.size, content: placed(strip.content, made) })
                .collect(),
        },
        Content::Part { part, .. } => {
            let name = format!("p{part}");
            let index = made.parts.iter().position(|part| part.name == name).expect("a part of its own");
            // A part lies along its longer side.
            let order = made.job.loose.iter().find(|order| order.name == name).expect("asked for");
            let turned = order.length < order.width;
            Content::Part { part: index, turn: if turned { Turn::Quarter } else { Turn::None } }
        }
    }
}
