//! Choices: needs that can be met in more than one way. Each combination gives an ordinary set of operations.

use super::model::{Need, Refusal, What, Work};

/// Most combinations that are compared.
const MOST: u64 = 64;

/// The operations with what they leave open.
pub struct Choices<'a> {
    works: &'a [Work],
    /// Operations with a choice: index, and each way to make it.
    open: Vec<(usize, Vec<Work>)>,
    /// Number of combinations.
    pub count: usize,
}

impl<'a> Choices<'a> {
    /// Looks for needs that leave a choice.
    ///
    /// # Errors
    /// [`Refusal::TooManyChoices`] over 64 combinations.
    pub fn of(works: &'a [Work]) -> Result<Self, Refusal> {
        let is_open = |work: &Work| work.needs.iter().any(|n| matches!(n.what, What::AtLeast(..)));
        let at = (0..works.len()).filter(|&at| is_open(&works[at]));
        let open: Vec<_> = at.map(|at| (at, ways_of(&works[at]))).collect();
        let count = open.iter().fold(1u64, |n, (_, ways)| n.saturating_mul(ways.len() as u64));
        if count > MOST {
            let names = open.iter().map(|(at, _)| works[*at].id.clone()).collect();
            return Err(Refusal::TooManyChoices { names, count });
        }
        Ok(Self { works, open, count: usize::try_from(count).unwrap_or(0) })
    }

    /// The operations of one combination.
    pub fn works(&self, combination: usize) -> Vec<Work> {
        let mut works = self.works.to_vec();
        self.take(combination, &mut works);
        works
    }

    /// Makes the choices of one combination among the operations; the options of the last choice change first.
    pub fn take(&self, mut combination: usize, works: &mut [Work]) {
        for (at, ways) in self.open.iter().rev() {
            works[*at].clone_from(&ways[combination % ways.len()]);
            combination /= ways.len();
        }
    }
}

/// One operation with its choices made in every way.
fn ways_of(work: &Work) -> Vec<Work> {
    let mut ways = vec![Work { needs: Vec::new(), ..work.clone() }];
    for need in &work.needs {
        let sets = sets_of(need);
        ways = ways.iter().flat_map(|way| sets.iter().map(move |set| with(way, set))).collect();
    }
    ways
}

/// The plain needs that stand for one need, in each way to choose them.
fn sets_of(need: &Need) -> Vec<Vec<Need>> {
    let What::AtLeast(k, options) = &need.what else {
        return vec![vec![need.clone()]];
    };
    let plain = |what: &What| Need { what: what.clone(), ..need.clone() };
    let all = |set: Vec<usize>| set.into_iter().flat_map(|n| &options[n]).map(plain).collect();
    subsets(options.len(), usize::from(*k)).into_iter().map(all).collect()
}

fn with(way: &Work, needs: &[Need]) -> Work {
    let mut way = way.clone();
    way.needs.extend_from_slice(needs);
    way
}

/// Every set of `k` numbers below `n`, in order.
fn subsets(n: usize, k: usize) -> Vec<Vec<usize>> {
    if k == 0 {
        return vec![Vec::new()];
    }
    let beginning = |first: usize| {
        subsets(n - first - 1, k - 1)
            .into_iter()
            .map(move |rest| std::iter::once(first).chain(rest.into_iter().map(|r| r + first + 1)).collect())
    };
    (0..n).flat_map(beginning).collect()
}
