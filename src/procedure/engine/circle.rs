//! Circles of needs: the shortest one is the reason for which no order exists.

use std::collections::VecDeque;

use petgraph::algo::tarjan_scc;
use petgraph::graph::{DiGraph, NodeIndex};

use super::model::{CircleLink, Edge, Refusal, Work};

/// The graph of the operations; a node's index is the operation's.
#[must_use]
pub fn graph(count: usize, edges: &[Edge]) -> DiGraph<(), usize> {
    let mut graph = DiGraph::with_capacity(count, edges.len());
    for _ in 0..count {
        graph.add_node(());
    }
    for (k, edge) in edges.iter().enumerate() {
        graph.add_edge(NodeIndex::new(edge.from), NodeIndex::new(edge.to), k);
    }
    graph
}

/// Refuses where the needs go round, with a shortest circle.
///
/// # Errors
/// [`Refusal::Circle`].
pub fn refuse_circles(works: &[Work], edges: &[Edge]) -> Result<(), Refusal> {
    let graph = graph(works.len(), edges);
    let shortest = tarjan_scc(&graph)
        .into_iter()
        .filter(|set| set.len() > 1)
        .flat_map(|set| set.into_iter())
        .filter_map(|node| shortest_through(&graph, node))
        .min_by_key(|path| (path.len(), path.clone()));
    let Some(path) = shortest else { return Ok(()) };
    let links = path.iter().map(|&k| link(works, &edges[k])).collect();
    Err(Refusal::Circle(links))
}

/// An edge as a reason in words.
pub fn link(works: &[Work], edge: &Edge) -> CircleLink {
    CircleLink {
        first: works[edge.from].id.clone(),
        then: works[edge.to].id.clone(),
        why: edge.why.clone(),
        line: edge.line,
    }
}

/// Edges of a shortest circle through the node, by breadth-first search.
fn shortest_through(graph: &DiGraph<(), usize>, start: NodeIndex) -> Option<Vec<usize>> {
    let mut came: Vec<Option<(NodeIndex, usize)>> = vec![None; graph.node_count()];
    let mut queue = VecDeque::from([start]);
    while let Some(node) = queue.pop_front() {
        let mut next: Vec<(NodeIndex, usize)> =
            graph.neighbors(node).filter_map(|n| Some((n, graph[graph.find_edge(node, n)?]))).collect();
        next.sort_by_key(|(n, _)| n.index());
        for (to, edge) in next {
            if to == start {
                return Some(walk_back(&came, node, start, edge));
            }
            if came[to.index()].is_none() {
                came[to.index()] = Some((node, edge));
                queue.push_back(to);
            }
        }
    }
    None
}

fn walk_back(came: &[Option<(NodeIndex, usize)>], mut at: NodeIndex, start: NodeIndex, last: usize) -> Vec<usize> {
    let mut path = vec![last];
    while at != start {
        let Some((from, edge)) = came[at.index()] else {
            break;
        };
        path.push(edge);
        at = from;
    }
    path.reverse();
    path
}
