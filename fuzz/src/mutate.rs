//! An input made from others: bytes and words changed, doubled, taken out, put together.

/// A small generator (SplitMix64, Steele, Lea and Flood 2014): good enough for mischief, and the same everywhere.
pub struct Mutator {
    state: u64,
    words: &'static [&'static str],
}

/// Inputs grow no longer than this (bytes).
const LONGEST: usize = 20_000;

impl Mutator {
    pub fn new(seed: u64, words: &'static [&'static str]) -> Mutator {
        Mutator { state: seed, words }
    }

    fn random(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, end: usize) -> usize {
        if end == 0 { 0 } else { (self.random() % end as u64) as usize }
    }

    pub fn next(&mut self, corpus: &[Vec<u8>]) -> Vec<u8> {
        let from = self.below(corpus.len());
        let mut input = corpus[from].clone();
        for _ in 0..1 << self.below(4) {
            self.change(&mut input, corpus);
        }
        input.truncate(LONGEST);
        input
    }

    /// A stretch of the input: of bytes, of a word, or of whole lines.
    fn stretch(&mut self, input: &[u8]) -> std::ops::Range<usize> {
        let at = self.below(input.len() + 1);
        let inside = |byte: u8, ends: &[u8]| !ends.contains(&byte);
        let ends: &[u8] = match self.below(3) {
            0 => {
                let long = self.below(8);
                return at..(at + long).min(input.len());
            }
            1 => b" \n=[]{},\"",
            _ => b"\n",
        };
        let start = input[..at].iter().rposition(|byte| !inside(*byte, ends)).map_or(0, |i| i + 1);
        let end = input[at..].iter().position(|byte| !inside(*byte, ends)).map_or(input.len(), |i| at + i);
        start..end
    }

    fn change(&mut self, input: &mut Vec<u8>, corpus: &[Vec<u8>]) {
        let stretch = self.stretch(input);
        match self.below(9) {
            0 => drop(input.drain(stretch)),
            1 => {
                let byte = self.random() as u8;
                drop(input.splice(stretch, [byte]));
            }
            2 | 3 | 4 => {
                let word = self.words[self.below(self.words.len())];
                drop(input.splice(stretch, word.bytes()));
            }
            5 => {
                let piece = input[stretch.clone()].to_vec();
                let times = 1 + self.below(3);
                let at = stretch.end;
                drop(input.splice(at..at, piece.repeat(times)));
            }
            6 => {
                let other = &corpus[self.below(corpus.len())];
                let theirs = self.stretch(other);
                drop(input.splice(stretch, other[theirs].iter().copied()));
            }
            7 => {
                let piece: Vec<u8> = input.drain(stretch).collect();
                let at = self.below(input.len() + 1);
                drop(input.splice(at..at, piece));
            }
            _ => {
                // A number near, far, or of another sign.
                let number = match self.below(6) {
                    0 => format!("{}", self.below(30)),
                    1 => format!("{}.{}", self.below(500), self.below(1000)),
                    2 => format!("-{}", self.below(100)),
                    3 => format!("{}", self.below(100_000)),
                    4 => format!("{}/{}", self.below(64), self.below(64)),
                    _ => format!("{}e{}", self.below(10), self.below(400)),
                };
                drop(input.splice(stretch, number.bytes()));
            }
        }
    }
}
