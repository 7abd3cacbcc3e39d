//! The symbolic side of a network: which passage touches which row, made once for a graph.
//!
//! A node is a row of the matrix (a zone) or, after the rows, a place outdoors; outdoors has its
//! wind as pressure, so that no passage needs a branch. Sums go by row over lists of passages:
//! the rows are independent of each other, and the order of addition never changes.

use super::{Node, Passage};
use crate::linalg::Pattern;

/// Columns of numbers are filled up to a multiple of the widest lanes.
pub(super) const WIDEST: usize = 8;

/// Nodes of the two ends of a passage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Ends {
    pub(super) a: usize,
    pub(super) b: usize,
}

/// Lists one after another in one piece of memory.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Lists {
    start: Vec<usize>,
    sizes: Vec<usize>,
    items: Vec<usize>,
}

impl Lists {
    fn new(lists: &[Vec<usize>]) -> Self {
        let mut start = vec![0];
        let mut items = Vec::new();
        for list in lists {
            items.extend(list);
            start.push(items.len());
        }
        Self { start, sizes: lists.iter().map(Vec::len).collect(), items }
    }

    /// All lists in their order.
    #[inline(always)]
    pub(super) fn walk(&self) -> Walk<'_> {
        Walk { sizes: &self.sizes, items: &self.items }
    }

    #[inline(always)]
    pub(super) fn get(&self, list: usize) -> &[usize] {
        &self.items[self.start[list]..self.start[list + 1]]
    }
}

/// See [`Lists::walk`].
pub(super) struct Walk<'a> {
    sizes: &'a [usize],
    items: &'a [usize],
}

impl<'a> Iterator for Walk<'a> {
    type Item = &'a [usize];

    #[inline(always)]
    fn next(&mut self) -> Option<&'a [usize]> {
        let (size, sizes) = self.sizes.split_first()?;
        let (list, items) = self.items.split_at_checked(*size)?;
        (self.sizes, self.items) = (sizes, items);
        Some(list)
    }
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Shape {
    pub(super) zones: usize,
    pub(super) passages: usize,
    /// Passages filled up to a multiple of [`WIDEST`].
    pub(super) padded: usize,
    pub(super) wind_count: usize,
    pub(super) ends: Vec<Ends>,
    pub(super) pattern: Pattern,
    /// List `2 row`: passages with their a in that row; `2 row + 1`: with their b.
    pub(super) of_row: Lists,
    /// For each stored entry below the diagonal, the passages that couple its two rows.
    pub(super) of_coupling: Lists,
    /// The two rows of each stored entry below the diagonal.
    pub(super) coupled: Vec<Ends>,
    /// Per passage: which sign makes its flow outward, in whole numbers; zero for those inside.
    pub(super) outward: Vec<i8>,
}

impl Shape {
    /// `passages` name zones below `zones` only.
    pub(super) fn new(zones: usize, passages: &[Passage]) -> Self {
        let mut edges = Vec::new();
        let mut wind_count = 0;
        for passage in passages {
            if let (Node::Zone(a), Node::Zone(b)) = (passage.a, passage.b) {
                edges.push((a, b));
            }
            for node in [passage.a, passage.b] {
                if let Node::Outdoors { wind } = node {
                    wind_count = wind_count.max(wind + 1);
                }
            }
        }
        let pattern = Pattern::new(zones, &edges);
        let node = |node: Node| match node {
            Node::Zone(zone) => pattern.row_of(zone),
            Node::Outdoors { wind } => zones + wind,
        };
        let ends: Vec<Ends> = passages.iter().map(|p| Ends { a: node(p.a), b: node(p.b) }).collect();
        let mut of_row = vec![Vec::new(); 2 * zones];
        let couplings = pattern.stored() - zones;
        let mut of_coupling = vec![Vec::new(); couplings];
        let mut coupled = vec![Ends { a: 0, b: 0 }; couplings];
        for (k, (passage, e)) in passages.iter().zip(&ends).enumerate() {
            if e.a < zones {
                of_row[2 * e.a].push(k);
            }
            if e.b < zones {
                of_row[2 * e.b + 1].push(k);
            }
            if let (Node::Zone(a), Node::Zone(b)) = (passage.a, passage.b)
                && let Some(slot) = pattern.slot(a, b)
            {
                of_coupling[slot - zones].push(k);
                coupled[slot - zones] = *e;
            }
        }
        let outward = ends.iter().map(|e| i8::from(e.b >= zones) - i8::from(e.a >= zones)).collect();
        Self {
            zones,
            passages: passages.len(),
            padded: passages.len().next_multiple_of(WIDEST),
            wind_count,
            of_row: Lists::new(&of_row),
            of_coupling: Lists::new(&of_coupling),
            coupled,
            outward,
            ends,
            pattern,
        }
    }

    /// Zones and places outdoors.
    pub(super) fn nodes(&self) -> usize {
        self.zones + self.wind_count
    }
}
