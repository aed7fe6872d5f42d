//! Floor loops cut from coils, each in one piece, at least cost.
//!
//! A loop has no joint, so the loops are packed whole into coils. What a cutting costs, and what it leaves, is settled by
//! how many coils of each length are bought. So these numbers are gone through from the cheapest up, and the first that
//! the loops can be cut from is the answer. Whether they can is found by filling coil after coil, longest loop first, and
//! giving up wherever more is wasted than the coils have to spare.

use std::collections::HashSet;

use super::budget::Budget;
use super::error::MethodError;

/// A length of coil on sale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coil {
    /// Its length (m).
    pub length_m: f64,
    /// What it costs, in pennies, so that sums are exact.
    pub cost: u64,
}

/// A coil and what is cut from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cut {
    /// Index of the coil among those on sale.
    pub coil: usize,
    /// Indices of the loops, longest first.
    pub loops: Vec<usize>,
}

/// How the loops are cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Cutting {
    /// Coils to buy, in the order of their longest loop.
    pub cuts: Vec<Cut>,
    /// What they cost, in pennies.
    pub cost: u64,
    /// Tube that is left over (m).
    pub left_m: f64,
    /// Whether every cheaper choice of coils was shown to be too little, and of those as cheap every one that leaves less.
    pub is_proven: bool,
}

/// Loops that one search takes on; a job has fewer.
pub const MOST_LOOPS: usize = 64;

/// Lengths of coil that one search takes on: the cheapest by the metre that the loops need.
pub const MOST_COILS: usize = 6;

/// Sets of loops that are looked at for one choice of coils before it is left undecided, and for all together.
const MOST_STEPS: (usize, usize) = (40_000, 400_000);

/// Choices of coils that are gone through.
const MOST_MIXES: usize = 50_000;

/// Sets of loops looked at by one unit of work.
const STEPS_PER_UNIT: usize = 16;

/// What a cutter allows himself on a coil (m): lengths are equal within it.
const SLACK_M: f64 = 1e-9;

/// The cheapest cutting, and of those the one that leaves least; nothing if a loop is longer than every coil. The search ends
/// by itself after some hundred thousand sets of loops, with the best that it has; sixteen of them, or one choice of coils, are
/// a unit of work.
///
/// # Source
/// Bin packing with bins of several sizes, by counting up and bin completion; held against every packing on small cases.
/// # Units
/// m; cost in pennies.
/// # Validity
/// Up to [`MOST_LOOPS`] loops by search; more are cut in parts of that many, longest first, and never told as proven.
/// # Errors
/// Those of the budget.
/// # Examples
/// ```
/// # use tundish_engine::methods::{Budget, cutting::{Coil, cut}};
/// let coils = [Coil { length_m: 120.0, cost: 9000 }, Coil { length_m: 200.0, cost: 14000 }];
/// // 78 + 41 leave 1 m of a coil of 120 m
/// let found = cut(&[78.0, 41.0], &coils, &Budget::unbounded())?.unwrap();
/// assert_eq!((found.cuts.len(), found.cuts[0].coil, found.left_m, found.is_proven), (1, 0, 1.0, true));
/// assert!(cut(&[201.0], &coils, &Budget::unbounded())?.is_none());
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn cut(loops_m: &[f64], coils: &[Coil], budget: &Budget) -> Result<Option<Cutting>, MethodError> {
    let longest_m = coils.iter().map(|coil| coil.length_m).fold(0.0, f64::max);
    if loops_m.iter().any(|length_m| *length_m > longest_m + SLACK_M) {
        return Ok(None);
    }
    let mut order: Vec<usize> = (0..loops_m.len()).collect();
    order.sort_by(|&a, &b| loops_m[b].total_cmp(&loops_m[a]));
    let known = worth_knowing(coils, longest_m);
    let is_whole = order.len() <= MOST_LOOPS && known.len() == coils.len();
    let mut whole = Cutting { cuts: Vec::new(), cost: 0, left_m: 0.0, is_proven: is_whole };
    for part in order.chunks(MOST_LOOPS) {
        let lengths_m: Vec<f64> = part.iter().map(|&index| loops_m[index]).collect();
        let offered: Vec<Coil> = known.iter().map(|&index| coils[index]).collect();
        let (cuts, is_proven) = Search { loops_m: &lengths_m, coils: &offered, steps: 0, budget }.run()?;
        whole.is_proven &= is_proven;
        for (coil, set) in cuts {
            let cut = Cut { coil: known[coil], loops: members(set).map(|member| part[member]).collect() };
            whole.cost += coils[cut.coil].cost;
            whole.left_m += coils[cut.coil].length_m - cut.loops.iter().map(|&index| loops_m[index]).sum::<f64>();
            whole.cuts.push(cut);
        }
    }
    Ok(Some(whole))
}

/// Indices of the coils that are looked at: a longest one, and the cheapest by the metre.
fn worth_knowing(coils: &[Coil], longest_m: f64) -> Vec<usize> {
    #[expect(clippy::cast_precision_loss, reason = "the cost of a coil is far below what f64 holds exactly")]
    let per_m = |index: usize| coils[index].cost as f64 / coils[index].length_m;
    let mut known: Vec<usize> = (0..coils.len()).collect();
    known.sort_by(|&a, &b| {
        let is_longest = |index: usize| coils[index].length_m >= longest_m - SLACK_M;
        is_longest(b).cmp(&is_longest(a)).then(per_m(a).total_cmp(&per_m(b)))
    });
    known.truncate(MOST_COILS);
    known.sort_unstable();
    known
}

/// How many coils of each length.
type Counts = [u8; MOST_COILS];

/// A choice of coils: what it costs, its length (m), and how many of each.
#[derive(Debug, Clone, Copy)]
struct Mix {
    cost: u64,
    length_m: f64,
    counts: Counts,
}

struct Search<'l> {
    /// Longest first.
    loops_m: &'l [f64],
    coils: &'l [Coil],
    steps: usize,
    budget: &'l Budget,
}

/// Coils with the sets of loops cut from each.
type Cuts = Vec<(usize, u64)>;

impl Search<'_> {
    fn run(mut self) -> Result<(Cuts, bool), MethodError> {
        let all = every(self.loops_m.len());
        let Some(fallback) = self.fallback()? else { return Ok((Vec::new(), true)) };
        let metres: f64 = self.loops_m.iter().sum();
        let mut is_proven = true;
        let (mixes, is_every) = self.mixes(metres, fallback.iter().map(|(coil, _)| self.coils[*coil].cost).sum())?;
        is_proven &= is_every;
        for mix in mixes {
            let (mut cuts, mut failed) = (Vec::new(), HashSet::new());
            let before = self.steps;
            if self.steps >= MOST_STEPS.1 {
                is_proven = false;
                break;
            }
            let spare_m = mix.length_m - metres;
            if self.fits(all, mix.counts, spare_m, before, &mut failed, &mut cuts)? {
                return Ok((cuts, is_proven));
            }
            is_proven &= self.steps - before < MOST_STEPS.0;
        }
        Ok((fallback, is_proven))
    }

    /// A cutting to begin with, by the length of coil that makes it cheapest: each loop, longest first, into the first coil
    /// that has room. Nothing where there is nothing to cut.
    fn fallback(&self) -> Result<Option<Cuts>, MethodError> {
        let by_one = (0..self.coils.len()).filter_map(|coil| {
            let length_m = self.coils[coil].length_m;
            let mut cuts: Vec<(u64, f64)> = Vec::new();
            for (index, loop_m) in self.loops_m.iter().enumerate() {
                match cuts.iter_mut().find(|(_, left_m)| *left_m + SLACK_M >= *loop_m) {
                    Some((set, left_m)) => (*set, *left_m) = (*set | 1 << index, *left_m - loop_m),
                    None if length_m + SLACK_M >= *loop_m => cuts.push((1 << index, length_m - loop_m)),
                    None => return None,
                }
            }
            Some(cuts.into_iter().map(|(set, _)| (coil, set)).collect::<Cuts>())
        });
        let by_one: Vec<Cuts> = by_one.filter(|cuts| !cuts.is_empty()).collect();
        let cost = |cuts: &Cuts| cuts.iter().map(|(coil, _)| self.coils[*coil].cost).sum::<u64>();
        Ok(by_one.into_iter().chain([self.full_coils()?]).filter(|cuts| !cuts.is_empty()).min_by_key(cost))
    }

    /// Another cutting to begin with: coil after coil the one that is cheapest by the metre that is cut from it, filled as
    /// full as it will go about the longest loop that is left.
    fn full_coils(&self) -> Result<Cuts, MethodError> {
        let mut left = every(self.loops_m.len());
        let mut cuts = Cuts::new();
        while left != 0 {
            let longest = left.trailing_zeros() as usize;
            let rest = left & !(1 << longest);
            let mut best: Option<(f64, usize, u64)> = None;
            for (coil, kind) in self.coils.iter().enumerate() {
                let room_m = kind.length_m - self.loops_m[longest];
                if room_m < -SLACK_M {
                    continue;
                }
                let mut search = Search { steps: 0, ..*self };
                let mut fillings = Vec::new();
                search.fillings((1 << longest, room_m), (rest, rest), f64::INFINITY, 0, &mut fillings)?;
                let fullest = fillings.into_iter().min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
                let Some((set, waste_m)) = fullest else { continue };
                #[expect(
                    clippy::cast_precision_loss,
                    reason = "the cost of a coil is far below what f64 holds exactly"
                )]
                let per_m = kind.cost as f64 / (kind.length_m - waste_m);
                if best.is_none_or(|(least, ..)| per_m < least) {
                    best = Some((per_m, coil, set));
                }
            }
            let Some((_, coil, set)) = best else { return Ok(Cuts::new()) };
            cuts.push((coil, set));
            left &= !set;
        }
        Ok(cuts)
    }

    /// Choices of coils that are long enough and cost no more than a cutting that is known, cheapest first; and whether all of
    /// them could be gone through.
    fn mixes(&self, metres: f64, most: u64) -> Result<(Vec<Mix>, bool), MethodError> {
        #[expect(clippy::cast_precision_loss, reason = "the cost of a coil is far below what f64 holds exactly")]
        let per_m = self.coils.iter().map(|coil| coil.cost as f64 / coil.length_m).fold(f64::INFINITY, f64::min);
        let mut found = Vec::new();
        let mut open = vec![(0, Mix { cost: 0, length_m: 0.0, counts: [0; MOST_COILS] })];
        let mut looked_at = 0;
        while let Some((coil, mix)) = open.pop() {
            looked_at += 1;
            if looked_at > MOST_MIXES {
                break;
            }
            self.budget.spend(1)?;
            if coil == self.coils.len() {
                if mix.length_m >= metres - SLACK_M && self.has_places(mix.counts) {
                    found.push(mix);
                }
                continue;
            }
            let mut more = mix;
            for _ in 0..=self.loops_m.len() {
                #[expect(clippy::cast_precision_loss, reason = "as above")]
                let least = more.cost as f64 + (metres - more.length_m).max(0.0) * per_m;
                #[expect(clippy::cast_precision_loss, reason = "as above")]
                if least <= most as f64 + 1e-6 {
                    open.push((coil + 1, more));
                }
                more.counts[coil] += 1;
                more.cost += self.coils[coil].cost;
                more.length_m += self.coils[coil].length_m;
                if more.cost > most {
                    break;
                }
            }
        }
        found.sort_by(|a, b| a.cost.cmp(&b.cost).then(a.length_m.total_cmp(&b.length_m)).then(b.counts.cmp(&a.counts)));
        Ok((found, looked_at <= MOST_MIXES))
    }

    /// Whether so many coils have places for so many loops: the shortest loops fill each, and none is counted twice as
    /// short as it is.
    fn has_places(&self, counts: Counts) -> bool {
        let places: usize =
            self.coils.iter().zip(counts).map(|(coil, count)| self.most_in(*coil) * usize::from(count)).sum();
        places >= self.loops_m.len()
    }

    /// Most loops that a coil can hold: the shortest.
    fn most_in(&self, coil: Coil) -> usize {
        let mut left_m = coil.length_m + SLACK_M;
        let shortest = self.loops_m.iter().rev().take_while(|loop_m| {
            left_m -= **loop_m;
            left_m >= 0.0
        });
        shortest.count()
    }

    /// Whether the loops that are left can be cut from the coils that are left, wasting no more than there is to spare.
    fn fits(
        &mut self,
        left: u64,
        counts: Counts,
        spare_m: f64,
        before: usize,
        failed: &mut HashSet<(u64, Counts)>,
        cuts: &mut Cuts,
    ) -> Result<bool, MethodError> {
        if left == 0 {
            return Ok(true);
        }
        if failed.contains(&(left, counts)) {
            return Ok(false);
        }
        let longest = left.trailing_zeros() as usize;
        let rest = left & !(1 << longest);
        for coil in 0..self.coils.len() {
            let room_m = self.coils[coil].length_m - self.loops_m[longest];
            if counts[coil] == 0 || room_m < -SLACK_M {
                continue;
            }
            let mut fillings = Vec::new();
            self.fillings((1 << longest, room_m), (rest, rest), spare_m, before, &mut fillings)?;
            // the fullest first
            fillings.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
            let mut fewer = counts;
            fewer[coil] -= 1;
            for (set, waste_m) in fillings {
                if self.steps - before >= MOST_STEPS.0 {
                    return Ok(false);
                }
                cuts.push((coil, set));
                if self.fits(left & !set, fewer, spare_m - waste_m, before, failed, cuts)? {
                    return Ok(true);
                }
                cuts.pop();
            }
        }
        if self.steps - before < MOST_STEPS.0 {
            failed.insert((left, counts));
        }
        Ok(false)
    }

    /// Sets of loops that a coil can be filled with so that no other loop has room and no more is wasted than may be.
    fn fillings(
        &mut self,
        (set, room_m): (u64, f64),
        (left, may): (u64, u64),
        spare_m: f64,
        before: usize,
        found: &mut Vec<(u64, f64)>,
    ) -> Result<(), MethodError> {
        self.steps += 1;
        if self.steps % STEPS_PER_UNIT == 1 {
            self.budget.spend(1)?;
        }
        if self.steps - before >= MOST_STEPS.0 {
            return Ok(());
        }
        let Some(index) = members(may).find(|&index| self.loops_m[index] <= room_m + SLACK_M) else {
            let has_room = members(left).any(|index| self.loops_m[index] <= room_m + SLACK_M);
            if !has_room && room_m <= spare_m + SLACK_M {
                found.push((set, room_m.max(0.0)));
            }
            return Ok(());
        };
        let bit = 1 << index;
        let after = may & !(bit | (bit - 1));
        self.fillings((set | bit, room_m - self.loops_m[index]), (left & !bit, after), spare_m, before, found)?;
        // without this loop, and so without any that is as long
        let alike = members(after).filter(|&other| (self.loops_m[other] - self.loops_m[index]).abs() <= SLACK_M);
        let alike = alike.fold(0, |set, other| set | 1 << other);
        self.fillings((set, room_m), (left, after & !alike), spare_m, before, found)
    }
}

/// The set of so many loops.
fn every(loops: usize) -> u64 {
    if loops >= MOST_LOOPS { u64::MAX } else { (1 << loops) - 1 }
}

/// Members of a set of loops, longest first.
fn members(set: u64) -> impl Iterator<Item = usize> {
    (0..MOST_LOOPS).filter(move |index| set >> index & 1 == 1)
}
