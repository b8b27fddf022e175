//! Pieces so large that no two fit on one sheet.

use super::{AlikePieces, Bin};

/// Kinds of which no two pieces can share any of the sheets, however each is turned: as many pieces as can be
/// found. Their indices.
pub(super) fn exclusive(kinds: &[AlikePieces], bins: &[Bin]) -> Vec<usize> {
    // Alone on the sheet even beside its like.
    let alone: Vec<usize> = (0..kinds.len()).filter(|i| excludes(&kinds[*i], &kinds[*i], bins)).collect();
    let mut best: (u64, Vec<usize>) = (0, Vec::new());
    for &first in &alone {
        let mut set = vec![first];
        let mut others: Vec<usize> = alone.iter().copied().filter(|i| *i != first).collect();
        others.sort_by_key(|i| (std::cmp::Reverse(kinds[*i].count), *i));
        for other in others {
            if set.iter().all(|one| excludes(&kinds[*one], &kinds[other], bins)) {
                set.push(other);
            }
        }
        let pieces = set.iter().map(|i| kinds[*i].count).sum();
        if pieces > best.0 {
            set.sort_unstable();
            best = (pieces, set);
        }
    }
    best.1
}

/// Can these two never lie on one sheet? On any sheet, one must lie beside the other or above it.
fn excludes(a: &AlikePieces, b: &AlikePieces, bins: &[Bin]) -> bool {
    if a.shape.is_some() || b.shape.is_some() {
        return false;
    }
    bins.iter().all(|bin| {
        a.orientations(bin).all(|(a_length, a_width)| {
            b.orientations(bin)
                .all(|(b_length, b_width)| a_length + b_length > bin.length && a_width + b_width > bin.width)
        })
    })
}
