//! Tube sizes of a two-pipe tree at least cost, exactly.
//!
//! Every section of the tree has a few tubes to choose from, each with a pressure drop and a cost. What a choice costs the
//! whole is its own cost; what it takes of the pump's head is felt on every way through it. Choosing section by section is
//! therefore wrong: a narrow trunk may be worth wide leaves, or the other way about.
//!
//! Each section carries the front of what lies from it outward: the points (head needed, cost) that no other point beats in
//! both. At a branching the fronts are joined (heads by their greatest, costs by their sum), and a section's own choices
//! are added to what it carries. Nothing that could belong to a best answer is dropped on the way, so the front at the plant
//! is exact, unless it is told otherwise: where many runs follow one another their fronts may grow without end, and one
//! beyond `MOST_POINTS` is thinned; each point is then still a tree that can be built.
//!
//! It rests on one rule: **the drop and the cost of a choice depend on nothing but the section and the choice**. The loss of
//! a fitting between two sections must be charged to one of them alone, at the velocity in its own tube.

use super::budget::Budget;
use super::error::MethodError;

/// A tube that a section may have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice {
    /// Pressure drop of the section with it (Pa).
    pub drop_pa: f64,
    /// Cost of the section with it, in any currency.
    pub cost: f64,
}

/// A section of the tree; it stands after the section that it leaves from.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Section {
    /// The section that it leaves from; nothing at the plant.
    pub from: Option<usize>,
    /// What it may be made of; a section without any counts for nothing.
    pub choices: Vec<Choice>,
    /// Greatest drop of what it serves itself (Pa); 0 where it serves nothing.
    pub end_pa: f64,
}

/// A whole tree that no other beats in both head and cost.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Head that the worst way needs (Pa).
    pub head_pa: f64,
    /// Cost of all sections.
    pub cost: f64,
    /// Index of the choice of each section.
    pub picks: Vec<usize>,
}

/// Heads and costs, cheapest last, each with where it came from.
#[derive(Debug, Clone, Default)]
struct Front {
    points: Vec<Entry>,
    /// Places in the fronts of the branches, as many for each point as there are branches.
    places: Vec<u32>,
}

#[derive(Debug, Clone, Copy)]
struct Entry {
    head_pa: f64,
    cost: f64,
    choice: u32,
    /// Place in the joined front that the section carries.
    carried: u32,
}

/// Costs nearer than this are one: sums of the same prices in another order differ in their last bits.
const SAME_COST: f64 = 1e-9;

/// Points that a front may hold before it is thinned, and points of all fronts together.
pub const MOST_POINTS: (usize, usize) = (12_000, 1_500_000);

/// Points gone through by one unit of work.
const POINTS_PER_UNIT: usize = 64;

/// Whole trees that no other beats in both head and cost.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trees {
    /// The trees, by rising head.
    pub points: Vec<Point>,
    /// Whether no front was thinned, so that no tree at all beats any of these.
    pub is_exact: bool,
}

/// Every whole tree that no other beats in both head and cost, by rising head; trees that need more than `most_pa` are left
/// out. Empty where every tree needs more. A unit of work is 64 points that are joined, merged or read out.
///
/// # Source
/// Bellman's principle on a tree with two measures: fronts of points that none beats, carried to the root. A rule of this
/// program's own making: it is held against every combination on small trees.
/// # Units
/// Pa; costs in any currency.
/// # Validity
/// Sections stand after the section that they leave from; drops and costs are not below 0.
/// # Errors
/// [`MethodError::Impossible`] for a tree out of order or figures below 0; those of the budget.
/// # Examples
/// ```
/// # use tundish_engine::methods::{Budget, least_cost_tree::{Choice, Section, front}};
/// let choices = |list: &[(f64, f64)]| list.iter().map(|&(cost, kpa)| Choice { drop_pa: 1000.0 * kpa, cost }).collect();
/// let trunk = Section { from: None, choices: choices(&[(60.0, 4.0), (95.0, 1.3)]), end_pa: 0.0 };
/// let leaf = Section { from: Some(0), choices: choices(&[(20.0, 6.0), (40.0, 1.0)]), end_pa: 0.0 };
/// // one leaf: both narrow needs 10 kPa; with 7.5 kPa a wide leaf behind a narrow trunk is cheapest
/// let one = front(&[trunk.clone(), leaf.clone()], 7500.0, &Budget::unbounded())?;
/// assert_eq!((one.points.last().map(|point| point.cost), one.is_exact), (Some(100.0), true));
/// // two leaves: now the trunk is the one to widen
/// let two = front(&[trunk, leaf.clone(), leaf], 7500.0, &Budget::unbounded())?;
/// assert_eq!(two.points.last().map(|point| (point.cost, point.picks.clone())), Some((135.0, vec![1, 0, 0])));
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn front(sections: &[Section], most_pa: f64, budget: &Budget) -> Result<Trees, MethodError> {
    check(sections)?;
    let (branches, roots) = branches(sections);
    let spare_pa = spare(sections, most_pa);
    let most = MOST_POINTS.0.min(MOST_POINTS.1 / sections.len().max(1));
    let mut is_exact = true;
    let mut own: Vec<Front> = vec![Front::default(); sections.len()];
    let mut carried: Vec<Front> = vec![Front::default(); sections.len()];
    for index in (0..sections.len()).rev() {
        let fronts: Vec<&Front> = branches[index].iter().map(|&branch| &own[branch]).collect();
        let joined = join(&fronts, sections[index].end_pa, budget)?;
        let mut points = with_choices(&joined, &sections[index].choices, spare_pa[index], budget)?;
        if points.len() > most {
            is_exact = false;
            points = thinned(&points, most);
        }
        own[index] = Front { points, places: Vec::new() };
        carried[index] = joined;
    }
    let whole = join(&roots.iter().map(|&root| &own[root]).collect::<Vec<_>>(), 0.0, budget)?;
    budget.spend_steps(whole.points.len() * sections.len(), POINTS_PER_UNIT)?;
    let points = whole.points.iter().enumerate().filter(|(_, point)| point.head_pa <= most_pa);
    let points = points
        .map(|(place, point)| {
            let mut picks = vec![0; sections.len()];
            let mut open: Vec<(usize, usize)> = places(&whole, place, &roots).collect();
            while let Some((section, place)) = open.pop() {
                let entry = own[section].points[place];
                picks[section] = entry.choice as usize;
                open.extend(places(&carried[section], entry.carried as usize, &branches[section]));
            }
            Point { head_pa: point.head_pa, cost: point.cost, picks }
        })
        .collect();
    Ok(Trees { points, is_exact })
}

/// A front with so many points at most: the ends, and others evenly between.
fn thinned(points: &[Entry], most: usize) -> Vec<Entry> {
    let last = points.len() - 1;
    (0..most).map(|number| points[number * last / (most - 1)]).collect()
}

/// Head and cost of a tree whose sections are chosen (Pa, currency).
///
/// # Source
/// The definition: the greatest sum of drops from the plant to an end, and the sum of costs.
/// # Units
/// As [`front`].
/// # Validity
/// As [`front`]; one index of a choice for each section.
/// # Examples
/// ```
/// # use tundish_engine::methods::least_cost_tree::{Choice, Section, measure};
/// let section = Section { from: None, choices: vec![Choice { drop_pa: 700.0, cost: 9.0 }], end_pa: 300.0 };
/// assert_eq!(measure(&[section], &[0]), (1000.0, 9.0));
/// ```
#[must_use]
pub fn measure(sections: &[Section], picks: &[usize]) -> (f64, f64) {
    let choice = |index: usize| sections[index].choices.get(picks[index]);
    let mut outward_pa: Vec<f64> = sections.iter().map(|section| section.end_pa).collect();
    let (mut head_pa, mut cost) = (0.0_f64, 0.0);
    for index in (0..sections.len()).rev() {
        let way_pa = outward_pa[index] + choice(index).map_or(0.0, |choice| choice.drop_pa);
        cost += choice(index).map_or(0.0, |choice| choice.cost);
        match sections[index].from {
            Some(from) => outward_pa[from] = outward_pa[from].max(way_pa),
            None => head_pa = head_pa.max(way_pa),
        }
    }
    (head_pa, cost)
}

fn check(sections: &[Section]) -> Result<(), MethodError> {
    let is_after = |(index, section): (usize, &Section)| section.from.is_none_or(|from| from < index);
    if !sections.iter().enumerate().all(is_after) {
        return Err(MethodError::Impossible { reason: "a section stands after the one that it leaves from" });
    }
    let figures = sections.iter().flat_map(|section| {
        let choices = section.choices.iter().flat_map(|choice| [choice.drop_pa, choice.cost]);
        choices.chain([section.end_pa])
    });
    if figures.into_iter().any(|figure| !(figure >= 0.0 && figure.is_finite())) {
        return Err(MethodError::Impossible { reason: "drops and costs of tubes are not below 0" });
    }
    Ok(())
}

/// Sections that leave from each, and those that leave from the plant.
fn branches(sections: &[Section]) -> (Vec<Vec<usize>>, Vec<usize>) {
    let mut branches = vec![Vec::new(); sections.len()];
    let mut roots = Vec::new();
    for (index, section) in sections.iter().enumerate() {
        match section.from {
            Some(from) => branches[from].push(index),
            None => roots.push(index),
        }
    }
    (branches, roots)
}

/// Head that is left for each section and what lies outward, if everything towards the plant takes its least (Pa).
fn spare(sections: &[Section], most_pa: f64) -> Vec<f64> {
    let least = |section: &Section| section.choices.iter().map(|choice| choice.drop_pa).reduce(f64::min).unwrap_or(0.0);
    let mut spare_pa: Vec<f64> = Vec::with_capacity(sections.len());
    for section in sections {
        spare_pa.push(section.from.map_or(most_pa, |from| spare_pa[from] - least(&sections[from])));
    }
    spare_pa
}

/// Fronts side by side: the greatest head, the sum of costs, at every head at which one of them changes.
fn join(fronts: &[&Front], least_pa: f64, budget: &Budget) -> Result<Front, MethodError> {
    if fronts.iter().any(|front| front.points.is_empty()) {
        return Ok(Front::default());
    }
    // as many heads as there are points, at each of which every front is looked at
    let heads: usize = fronts.iter().map(|front| front.points.len()).sum();
    budget.spend_steps(heads * fronts.len(), POINTS_PER_UNIT)?;
    let mut joined = Front::default();
    let mut at = vec![0_usize; fronts.len()];
    let first_pa = fronts.iter().map(|front| front.points[0].head_pa).fold(least_pa, f64::max);
    let mut head_pa = first_pa;
    loop {
        // as cheap as each may be at this head
        for (at, front) in at.iter_mut().zip(fronts) {
            while front.points.get(*at + 1).is_some_and(|next| next.head_pa <= head_pa) {
                *at += 1;
            }
        }
        let cost = at.iter().zip(fronts).map(|(&at, front)| front.points[at].cost).sum();
        joined.points.push(Entry { head_pa, cost, choice: 0, carried: 0 });
        joined.places.extend(at.iter().map(|&at| place(at)));
        let next = at.iter().zip(fronts).filter_map(|(&at, front)| Some(front.points.get(at + 1)?.head_pa));
        match next.reduce(f64::min) {
            Some(next_pa) => head_pa = next_pa,
            None => return Ok(joined),
        }
    }
}

/// A front with each of a section's choices added, without what is beaten and what leaves no head.
fn with_choices(carried: &Front, choices: &[Choice], most_pa: f64, budget: &Budget) -> Result<Vec<Entry>, MethodError> {
    if choices.is_empty() {
        let points = carried.points.iter().enumerate();
        return Ok(points.map(|(at, point)| Entry { carried: place(at), ..*point }).collect());
    }
    let mut points: Vec<Entry> = Vec::new();
    for (number, choice) in choices.iter().enumerate() {
        budget.spend_steps(points.len() + carried.points.len(), POINTS_PER_UNIT)?;
        let with = carried.points.iter().enumerate().map(|(at, point)| Entry {
            head_pa: point.head_pa + choice.drop_pa,
            cost: point.cost + choice.cost,
            choice: place(number),
            carried: place(at),
        });
        let with = with.filter(|entry| entry.head_pa <= most_pa);
        points = unbeaten(&points, with);
    }
    Ok(points)
}

/// Two fronts as one, both by rising head.
fn unbeaten(one: &[Entry], other: impl Iterator<Item = Entry>) -> Vec<Entry> {
    let mut kept: Vec<Entry> = Vec::with_capacity(2 * one.len());
    let mut keep = |entry: Entry| {
        if kept.last().is_none_or(|last| entry.cost < last.cost - SAME_COST) {
            if kept.last().is_some_and(|last| last.head_pa >= entry.head_pa) {
                kept.pop();
            }
            kept.push(entry);
        }
    };
    let (mut one, mut other) = (one.iter().copied().peekable(), other.peekable());
    loop {
        let next = match (one.peek(), other.peek()) {
            (Some(a), Some(b)) if is_before(b, a) => other.next(),
            (Some(_), _) => one.next(),
            (None, _) => other.next(),
        };
        match next {
            Some(entry) => keep(entry),
            None => return kept,
        }
    }
}

fn is_before(a: &Entry, b: &Entry) -> bool {
    a.head_pa.total_cmp(&b.head_pa).then(a.cost.total_cmp(&b.cost)).is_lt()
}

/// Where a joined point stands in the fronts of the branches.
fn places<'f>(front: &'f Front, place: usize, branches: &'f [usize]) -> impl Iterator<Item = (usize, usize)> + 'f {
    let count = branches.len();
    let places = front.places.iter().skip(place * count).take(count);
    branches.iter().copied().zip(places.map(|&place| place as usize))
}

/// Fronts are bounded far below what this holds.
#[expect(
    clippy::cast_possible_truncation,
    reason = "fronts end at MOST_POINTS but for a few choices, these at what a price book holds"
)]
fn place(index: usize) -> u32 {
    index as u32
}
