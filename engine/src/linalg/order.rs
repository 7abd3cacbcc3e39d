//! Reverse Cuthill-McKee: an order of the unknowns that keeps neighbours close.
//!
//! Start from a node far out (the end of a longest breadth-first search, George and Liu 1981),
//! number level by level with the less connected neighbours first, then turn the list round.
//! Ties go to the lower index, so the order depends on nothing but the graph.

/// The order of `count` nodes under undirected `edges`: `order[row]` is the node in that row.
///
/// Edges to themselves, double edges and edges that name a node `>= count` are ignored.
/// Every connected part is numbered in turn.
pub fn reverse_cuthill_mckee(count: usize, edges: &[(usize, usize)]) -> Vec<usize> {
    let neighbours = adjacency(count, edges);
    let mut order = Vec::with_capacity(count);
    let mut seen = vec![false; count];
    for seed in 0..count {
        if !seen[seed] {
            let root = far_out(&neighbours, seed);
            let part = breadth_first(&neighbours, root);
            for &(node, _) in &part {
                seen[node] = true;
            }
            order.extend(part.into_iter().map(|(node, _)| node));
        }
    }
    order.reverse();
    order
}

fn adjacency(count: usize, edges: &[(usize, usize)]) -> Vec<Vec<usize>> {
    let mut neighbours = vec![Vec::new(); count];
    for &(a, b) in edges {
        if a != b && a < count && b < count {
            neighbours[a].push(b);
            neighbours[b].push(a);
        }
    }
    for list in &mut neighbours {
        list.sort_unstable();
        list.dedup();
    }
    let degree: Vec<usize> = neighbours.iter().map(Vec::len).collect();
    for list in &mut neighbours {
        list.sort_by_key(|&node| (degree[node], node));
    }
    neighbours
}

/// Nodes of one connected part with their level, in Cuthill-McKee order from `root`.
fn breadth_first(neighbours: &[Vec<usize>], root: usize) -> Vec<(usize, usize)> {
    let mut reached = vec![false; neighbours.len()];
    reached[root] = true;
    let mut queue = vec![(root, 0)];
    let mut next = 0;
    while next < queue.len() {
        let (node, level) = queue[next];
        next += 1;
        for &other in &neighbours[node] {
            if !reached[other] {
                reached[other] = true;
                queue.push((other, level + 1));
            }
        }
    }
    queue
}

/// A node at the end of a long way through the part that holds `seed`.
fn far_out(neighbours: &[Vec<usize>], seed: usize) -> usize {
    let mut root = seed;
    let mut depth = 0;
    loop {
        let part = breadth_first(neighbours, root);
        let deepest = part.last().map_or(0, |&(_, level)| level);
        if deepest <= depth {
            return root;
        }
        depth = deepest;
        root = part
            .iter()
            .filter(|&&(_, level)| level == deepest)
            .map(|&(node, _)| node)
            .min_by_key(|&node| (neighbours[node].len(), node))
            .unwrap_or(root);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bandwidth(order: &[usize], edges: &[(usize, usize)]) -> usize {
        let mut row = vec![0; order.len()];
        for (r, &node) in order.iter().enumerate() {
            row[node] = r;
        }
        edges
            .iter()
            .map(|&(a, b)| row[a].abs_diff(row[b]))
            .max()
            .unwrap_or(0)
    }

    #[test]
    fn a_shuffled_chain_gets_bandwidth_one() {
        let edges = [(3, 0), (0, 5), (5, 1), (1, 4), (4, 2)];
        let order = reverse_cuthill_mckee(6, &edges);
        assert_eq!(bandwidth(&order, &edges), 1);
    }

    #[test]
    fn every_node_appears_once_also_alone_ones() {
        let mut order = reverse_cuthill_mckee(5, &[(0, 3), (3, 3), (0, 3), (1, 9)]);
        order.sort_unstable();
        assert_eq!(order, [0, 1, 2, 3, 4]);
    }

    #[test]
    fn a_grid_of_four_by_ten_gets_the_short_side() {
        let mut edges = Vec::new();
        for i in 0..4 {
            for j in 0..10 {
                if i < 3 {
                    edges.push((i * 10 + j, (i + 1) * 10 + j));
                }
                if j < 9 {
                    edges.push((i * 10 + j, i * 10 + j + 1));
                }
            }
        }
        let order = reverse_cuthill_mckee(40, &edges);
        assert!(bandwidth(&order, &edges) <= 5);
    }
}
