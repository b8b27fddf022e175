//! Free space on a sheet: the set of its maximal free rectangles, which may overlap.

/// A rectangle on a sheet, in micrometres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Space {
    pub x: i32,
    pub y: i32,
    pub length: i32,
    pub width: i32,
}

impl Space {
    /// A whole sheet.
    pub fn whole(length: i32, width: i32) -> Space {
        Space { x: 0, y: 0, length, width }
    }

    #[inline]
    pub fn right(&self) -> i32 {
        self.x + self.length
    }

    #[inline]
    pub fn top(&self) -> i32 {
        self.y + self.width
    }

    pub fn area(&self) -> i64 {
        i64::from(self.length) * i64::from(self.width)
    }

    #[inline]
    pub fn meets(&self, other: &Space) -> bool {
        self.x < other.right() && other.x < self.right() && self.y < other.top() && other.y < self.top()
    }

    #[inline]
    pub fn holds(&self, other: &Space) -> bool {
        self.x <= other.x && self.y <= other.y && self.right() >= other.right() && self.top() >= other.top()
    }

    /// The maximal rectangles that are left of this one.
    fn without(self, taken: &Space) -> impl Iterator<Item = Space> {
        let left = (taken.x > self.x).then(|| Space { length: taken.x - self.x, ..self });
        let right = (taken.right() < self.right()).then(|| Space {
            x: taken.right(),
            length: self.right() - taken.right(),
            ..self
        });
        let below = (taken.y > self.y).then(|| Space { width: taken.y - self.y, ..self });
        let above =
            (taken.top() < self.top()).then(|| Space { y: taken.top(), width: self.top() - taken.top(), ..self });
        left.into_iter().chain(right).chain(below).chain(above)
    }
}

/// Takes a rectangle out of free space. `parts` is scratch memory.
pub fn take(spaces: &mut Vec<Space>, taken: &Space, parts: &mut Vec<Space>) {
    parts.clear();
    let mut at = 0;
    while at < spaces.len() {
        if spaces[at].meets(taken) {
            parts.extend(spaces.swap_remove(at).without(taken));
        } else {
            at += 1;
        }
    }
    // What is free beside the rectangle lies in no new part, as that would lie in what it was part of.
    let whole = spaces.len();
    for (i, part) in parts.iter().enumerate() {
        let inside = |other: &Space| other.holds(part);
        let again = parts.iter().enumerate().any(|(j, other)| j != i && inside(other) && (j < i || other != part));
        if !again && !spaces[..whole].iter().any(inside) {
            spaces.push(*part);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On a board of 12 × 9 squares: every rectangle of free squares that cannot grow is there, and nothing else.
    #[test]
    fn free_space_is_all_that_cannot_grow() {
        let mut state = 1_u32;
        let mut dice = |end: i32| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            ((state >> 16) % end as u32) as i32
        };
        for _ in 0..60 {
            let mut spaces = vec![Space::whole(12, 9)];
            let mut taken: Vec<Space> = Vec::new();
            let mut scratch = Vec::new();
            for _ in 0..5 {
                let (x, y) = (dice(12), dice(9));
                let piece = Space { x, y, length: 1 + dice(12 - x).min(4), width: 1 + dice(9 - y).min(4) };
                take(&mut spaces, &piece, &mut scratch);
                taken.push(piece);
                let free = |space: &Space| {
                    space.x >= 0
                        && space.y >= 0
                        && space.right() <= 12
                        && space.top() <= 9
                        && !taken.iter().any(|taken| taken.meets(space))
                };
                let mut wanted = Vec::new();
                for (x, y) in (0..12).flat_map(|x| (0..9).map(move |y| (x, y))) {
                    for (length, width) in (1..=12).flat_map(|l| (1..=9).map(move |w| (l, w))) {
                        let space = Space { x, y, length, width };
                        let grown = [
                            Space { x: x - 1, length: length + 1, ..space },
                            Space { length: length + 1, ..space },
                            Space { y: y - 1, width: width + 1, ..space },
                            Space { width: width + 1, ..space },
                        ];
                        if free(&space) && !grown.iter().any(free) {
                            wanted.push(space);
                        }
                    }
                }
                let order = |space: &Space| (space.x, space.y, space.length, space.width);
                wanted.sort_by_key(order);
                spaces.sort_by_key(order);
                assert_eq!(spaces, wanted);
            }
        }
    }
}
