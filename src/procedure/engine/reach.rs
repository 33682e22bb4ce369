//! Which operation comes before which, over all edges: one row of bits for each operation.

use super::model::Edge;

/// What follows each operation, near or far.
pub struct Reach {
    rows: Vec<Vec<u64>>,
}

impl Reach {
    /// Follows the edges; they must be free of circles, what a circle holds back follows nothing.
    pub fn new(count: usize, edges: &[Edge]) -> Self {
        let words = count.div_ceil(64);
        let mut rows = vec![vec![0u64; words]; count];
        let mut open = vec![0usize; count];
        let mut before = vec![Vec::new(); count];
        for edge in edges {
            open[edge.from] += 1;
            before[edge.to].push(edge.from);
        }
        let mut ready: Vec<usize> = (0..count).filter(|&at| open[at] == 0).collect();
        while let Some(at) = ready.pop() {
            let row = rows[at].clone();
            for &from in &before[at] {
                for (own, later) in rows[from].iter_mut().zip(&row) {
                    *own |= later;
                }
                rows[from][at / 64] |= 1 << (at % 64);
                open[from] -= 1;
                if open[from] == 0 {
                    ready.push(from);
                }
            }
        }
        Self { rows }
    }

    /// True where `early` comes before `late`.
    pub fn before(&self, early: usize, late: usize) -> bool {
        self.rows[early][late / 64] >> (late % 64) & 1 == 1
    }
}
