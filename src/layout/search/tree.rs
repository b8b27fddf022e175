//! The pattern of one sheet while it is searched: a tree of cuts without coordinates.
//!
//! A split's children lie side by side along its axis; a split within a split lies along the other axis. A split holds at
//! most one leftover, as where its children stand among each other changes nothing.

use super::random::mixed;
use super::worth::Worth;
use crate::layout::Axis;

pub(super) const NONE: u32 = u32::MAX;
pub(super) const ROOT: u32 = 0;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum What {
    /// Not in use.
    Unused,
    Left,
    Part {
        kind: u32,
        turned: bool,
    },
    Split(Axis),
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    pub length: i32,
    pub width: i32,
    pub what: What,
    parent: u32,
    first: u32,
    next: u32,
}

/// The pattern of one sheet.
#[derive(Clone, Debug)]
pub(super) struct Tree {
    /// Index into the bins.
    pub bin: u32,
    pub nodes: Vec<Node>,
    unused: Vec<u32>,
    /// Of all its leftovers.
    pub worth: f64,
    /// Area of its parts.
    pub used: i64,
    /// Says which pieces are on it: sheets with the same pieces have the same key.
    pub key: u64,
    /// Its leftovers, if they have been looked for since it was last changed.
    left: Vec<Leftover>,
    fresh: bool,
    /// The largest short and the largest long side of any of them.
    reach: (i32, i32),
}

/// A leftover of a sheet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Leftover {
    pub length: i32,
    pub width: i32,
    pub node: u32,
    pub worth: f32,
}

pub(super) fn other(axis: Axis) -> Axis {
    match axis {
        Axis::X => Axis::Y,
        Axis::Y => Axis::X,
    }
}

impl Node {
    fn along(&self, axis: Axis) -> i32 {
        match axis {
            Axis::X => self.length,
            Axis::Y => self.width,
        }
    }

    /// This node's rectangle, with another size along an axis.
    fn with(&self, axis: Axis, size: i32) -> (i32, i32) {
        match axis {
            Axis::X => (size, self.width),
            Axis::Y => (self.length, size),
        }
    }
}

impl Tree {
    pub fn new(bin: u32, length: i32, width: i32, worth: &Worth) -> Tree {
        let root = Node { length, width, what: What::Left, parent: NONE, first: NONE, next: NONE };
        Tree {
            bin,
            nodes: vec![root],
            unused: Vec::new(),
            worth: worth.of(length, width),
            used: 0,
            key: 0,
            left: Vec::new(),
            fresh: false,
            reach: (0, 0),
        }
    }

    pub fn is_empty(&self) -> bool {
        self.nodes[ROOT as usize].what == What::Left
    }

    /// Takes over another tree's pattern without giving up its own memory.
    pub fn copy_from(&mut self, from: &Tree) {
        self.bin = from.bin;
        self.nodes.clone_from(&from.nodes);
        self.unused.clone_from(&from.unused);
        self.worth = from.worth;
        (self.used, self.key) = (from.used, from.key);
        self.left.clone_from(&from.left);
        (self.fresh, self.reach) = (from.fresh, from.reach);
    }

    /// Its leftovers; none if no leftover has sides as long as these.
    pub fn leftovers(&mut self, short: i32, long: i32, worth: &Worth) -> &[Leftover] {
        if !self.fresh {
            self.fresh = true;
            self.reach = (0, 0);
            self.left.clear();
            for (at, node) in self.nodes.iter().enumerate().filter(|(_, node)| node.what == What::Left) {
                let (length, width) = (node.length, node.width);
                self.reach = (self.reach.0.max(length.min(width)), self.reach.1.max(length.max(width)));
                self.left.push(Leftover { length, width, node: at as u32, worth: worth.single(length, width) });
            }
        }
        if self.reach.0 < short || self.reach.1 < long { &[] } else { &self.left }
    }

    /// A copy to keep, with nothing in it but the pattern.
    pub fn kept(&self) -> Tree {
        Tree { left: Vec::new(), fresh: false, ..self.clone() }
    }

    pub fn children(&self, node: u32) -> impl Iterator<Item = u32> {
        let mut at = self.nodes[node as usize].first;
        std::iter::from_fn(move || {
            let child = at;
            (child != NONE).then(|| {
                at = self.nodes[child as usize].next;
                child
            })
        })
    }

    /// How many splits a node is in, and the axis of the innermost.
    pub fn depth(&self, node: u32) -> (u32, Option<Axis>) {
        let of = |node: u32| self.nodes.get(node as usize);
        let row = of(node).and_then(|node| of(node.parent)).and_then(|parent| match parent.what {
            What::Split(axis) => Some(axis),
            _ => None,
        });
        let (mut depth, mut at) = (0, node);
        while let Some(node) = of(at).filter(|node| node.parent != NONE) {
            (depth, at) = (depth + 1, node.parent);
        }
        (depth, row)
    }

    fn add(&mut self, (length, width): (i32, i32), what: What, parent: u32) -> u32 {
        let next = self.nodes[parent as usize].first;
        let node = Node { length, width, what, parent, first: NONE, next };
        let at = match self.unused.pop() {
            Some(at) => {
                self.nodes[at as usize] = node;
                at
            }
            None => {
                self.nodes.push(node);
                self.nodes.len() as u32 - 1
            }
        };
        self.nodes[parent as usize].first = at;
        at
    }

    fn give_up(&mut self, node: u32) {
        self.nodes[node as usize].what = What::Unused;
        self.unused.push(node);
    }

    fn unlink(&mut self, node: u32) {
        let Node { parent, next, .. } = self.nodes[node as usize];
        let mut at = self.nodes[parent as usize].first;
        if at == node {
            self.nodes[parent as usize].first = next;
            return;
        }
        while self.nodes[at as usize].next != node {
            at = self.nodes[at as usize].next;
        }
        self.nodes[at as usize].next = next;
    }

    /// Puts a part into a leftover: a slice of its size along the axis `first` is cut off, and the part from the slice.
    /// Returns the leftovers that come of it.
    pub fn insert(&mut self, node: u32, part: What, size: (i32, i32), first: Axis, worth: &Worth) -> [u32; 2] {
        self.fresh = false;
        let old = self.nodes[node as usize];
        let along = |axis| if axis == Axis::X { size.0 } else { size.1 };
        self.worth -= worth.of(old.length, old.width);
        self.used += i64::from(size.0) * i64::from(size.1);
        if let What::Part { kind, .. } = part {
            self.key = self.key.wrapping_add(mixed(u64::from(kind)));
        }
        if (old.length, old.width) == size {
            self.nodes[node as usize].what = part;
            return [NONE; 2];
        }
        let first = if old.along(first) == along(first) { other(first) } else { first };
        let second = other(first);
        let rest = old.with(first, old.along(first) - along(first));
        let in_line = old.parent != NONE && self.nodes[old.parent as usize].what == What::Split(first);
        let (left, parent) = if in_line {
            (self.nodes[node as usize].length, self.nodes[node as usize].width) = rest;
            (node, old.parent)
        } else {
            self.nodes[node as usize].what = What::Split(first);
            (self.add(rest, What::Left, node), node)
        };
        self.worth += worth.of(rest.0, rest.1);
        if old.along(second) == along(second) {
            self.add(size, part, parent);
            return [left, NONE];
        }
        let slice = self.add(old.with(first, along(first)), What::Split(second), parent);
        let over = self.nodes[slice as usize].with(second, old.along(second) - along(second));
        self.add(size, part, slice);
        let over_part = self.add(over, What::Left, slice);
        self.worth += worth.of(over.0, over.1);
        [left, over_part]
    }

    /// Takes a node out with all that is in it; what it took up is left over. `out` is told the kind of every part.
    pub fn remove(&mut self, node: u32, worth: &Worth, out: &mut impl FnMut(u32)) {
        self.fresh = false;
        self.clear(node, worth, out);
        let mut node = node;
        self.worth += worth.of(self.nodes[node as usize].length, self.nodes[node as usize].width);
        loop {
            let parent = self.nodes[node as usize].parent;
            if parent == NONE {
                return;
            }
            let What::Split(axis) = self.nodes[parent as usize].what else { return };
            let beside = self.children(parent).find(|&c| c != node && self.nodes[c as usize].what == What::Left);
            if let Some(beside) = beside {
                let (here, there) = (self.nodes[node as usize], self.nodes[beside as usize]);
                self.unlink(node);
                self.give_up(node);
                let whole = there.with(axis, there.along(axis) + here.along(axis));
                let kept = &mut self.nodes[beside as usize];
                (kept.length, kept.width) = whole;
                self.worth += worth.of(whole.0, whole.1)
                    - worth.of(here.length, here.width)
                    - worth.of(there.length, there.width);
                node = beside;
            }
            if self.nodes[parent as usize].first != node || self.nodes[node as usize].next != NONE {
                return;
            }
            // Nothing else is in there.
            self.give_up(node);
            self.nodes[parent as usize].what = What::Left;
            self.nodes[parent as usize].first = NONE;
            node = parent;
        }
    }

    /// Makes a node a leftover, whose worth is still to be added.
    fn clear(&mut self, node: u32, worth: &Worth, out: &mut impl FnMut(u32)) {
        let Node { length, width, what, .. } = self.nodes[node as usize];
        match what {
            What::Part { kind, .. } => {
                self.used -= i64::from(length) * i64::from(width);
                self.key = self.key.wrapping_sub(mixed(u64::from(kind)));
                out(kind);
            }
            What::Left => self.worth -= worth.of(length, width),
            What::Split(_) | What::Unused => {}
        }
        let mut at = self.nodes[node as usize].first;
        while at != NONE {
            let next = self.nodes[at as usize].next;
            self.clear(at, worth, out);
            self.give_up(at);
            at = next;
        }
        self.nodes[node as usize].first = NONE;
        self.nodes[node as usize].what = What::Left;
    }
}
