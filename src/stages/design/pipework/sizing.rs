//! Which tube each run gets: all of them together at least cost, or each by itself by the handbook's rule.

use super::options::{Candidate, Limit};
use super::pipe::Breaks;
use crate::job::emitters::Keep;
use crate::list::{Index, List};
use crate::methods::least_cost_tree::{self, Choice, Point, Section as Node};
use crate::methods::pump_laws::cost_of_head;
use crate::methods::{Budget, MethodError, Off};
use crate::survey::{Rule, Survey};

/// Whole sizings and what they come to.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sizes {
    /// Sizings that no other beats in head and cost, the least head first.
    pub front: Vec<Sized>,
    /// Which of the front costs least over the life.
    pub least: Option<usize>,
    /// That of the handbook's rule.
    pub gradient: Sized,
    /// Whether no sizing at all keeps within the head that the pump has left.
    pub is_beyond_pump: bool,
    /// Whether no tree at all beats any of the front.
    pub is_exact: bool,
    /// What a pascal of head costs over the life.
    pub head_costs: f64,
    /// The same of the head before a separation.
    pub before_costs: f64,
}

/// One whole sizing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sized {
    /// Index of the candidate of each run, the primary before all runs where there is one.
    pub picks: Vec<Index<Candidate>>,
    /// Head that the runs and ends take on the worst way, without the plant room (Pa).
    pub head_pa: f64,
    /// Head that the primary takes by itself (Pa), where another pump carries it.
    pub before_pa: f64,
    /// What the new tube costs.
    pub cost: f64,
}

/// What is to be sized together.
pub(super) struct Tree<'t> {
    /// The section that each leaves from.
    pub from: Vec<Option<usize>>,
    /// Candidates of each; none where it is not laid.
    pub candidates: &'t [List<Candidate>],
    /// What candidates of the primary cost beside themselves, for the hot water behind them.
    pub besides: &'t [f64],
    /// Greatest drop of what each serves (Pa).
    pub end_pa: Vec<f64>,
}

/// Sizes a tree in both ways. `most_pa` is the head that the pump has left for runs and ends; `flow_l_h` is the whole flow.
pub(super) fn sizes(
    (survey, budget): (&Survey, &Budget),
    tree: &Tree<'_>,
    most_pa: f64,
    flow_l_h: f64,
) -> Result<Sizes, MethodError> {
    let usable: Vec<Vec<Index<Candidate>>> = tree.candidates.iter().map(usable).collect();
    let nodes: Vec<Node> = (0..tree.from.len()).map(|index| tree.node(index, &usable[index])).collect();
    let mut trees = least_cost_tree::front(&nodes, most_pa, budget)?;
    let is_beyond_pump = trees.points.is_empty();
    if is_beyond_pump {
        trees = least_cost_tree::front(&nodes, f64::INFINITY, budget)?;
    }
    let least_cost_tree::Trees { points, is_exact } = trees;
    let picks = |picks: &[usize]| -> Vec<Index<Candidate>> {
        let each = picks.iter().zip(&usable).map(|(&pick, usable)| usable.get(pick).copied().unwrap_or(Index::new(0)));
        each.collect()
    };
    let sized =
        |Point { head_pa, cost, picks: found }: Point| Sized { picks: picks(&found), head_pa, before_pa: 0.0, cost };
    let front: Vec<Sized> = points.into_iter().map(sized).collect();
    let head_costs = survey.pipes.sizing.head_costs(flow_l_h);
    let life = |sized: &Sized| sized.cost + cost_of_head(head_costs, sized.head_pa, &mut Off);
    let least = (0..front.len()).min_by(|&a, &b| life(&front[a]).total_cmp(&life(&front[b])));
    let by_rule: Vec<Index<Candidate>> =
        tree.candidates.iter().map(|candidates| by_gradient(survey, candidates)).collect();
    let every: Vec<Vec<Index<Candidate>>> =
        tree.candidates.iter().map(|candidates| candidates.indices().collect()).collect();
    let all: Vec<Node> = (0..tree.from.len()).map(|index| tree.node(index, &every[index])).collect();
    let (head_pa, cost) = least_cost_tree::measure(&all, &by_rule.iter().map(|pick| pick.number()).collect::<Vec<_>>());
    Ok(Sizes {
        front,
        least,
        gradient: Sized { picks: by_rule, head_pa, before_pa: 0.0, cost },
        is_beyond_pump,
        is_exact,
        head_costs,
        before_costs: 0.0,
    })
}

impl Sizes {
    /// The same with the primary, which another pump carries, before all runs: its least and its handbook choice.
    pub(super) fn with_primary(mut self, primary: &Self) -> Self {
        let with = |sized: &mut Sized, own: &Sized| {
            sized.picks.splice(0..0, own.picks.iter().copied());
            sized.cost += own.cost;
            sized.before_pa = own.head_pa;
        };
        let least = primary.chosen(Rule::LeastCost);
        self.front.iter_mut().for_each(|sized| with(sized, least));
        with(&mut self.gradient, &primary.gradient);
        self.is_beyond_pump |= primary.is_beyond_pump;
        self.before_costs = primary.head_costs;
        self
    }

    /// The same with what costs as much whatever is chosen.
    pub(super) fn with_fixed_cost(mut self, cost: f64) -> Self {
        self.front.iter_mut().for_each(|sized| sized.cost += cost);
        self.gradient.cost += cost;
        self
    }

    /// The sizing that a rule chooses.
    #[must_use]
    pub fn chosen(&self, rule: Rule) -> &Sized {
        match (rule, self.least) {
            (Rule::LeastCost, Some(least)) => &self.front[least],
            (Rule::LeastCost, None) | (Rule::Gradient, _) => &self.gradient,
        }
    }

    /// What a sizing costs over the life, tube and electricity.
    #[must_use]
    pub fn life_cost(&self, sized: &Sized) -> f64 {
        let of_head = cost_of_head(self.head_costs, sized.head_pa, &mut Off);
        sized.cost + of_head + cost_of_head(self.before_costs, sized.before_pa, &mut Off)
    }
}

impl Tree<'_> {
    fn node(&self, index: usize, usable: &[Index<Candidate>]) -> Node {
        let candidates = &self.candidates[index];
        let besides = |candidate: Index<Candidate>| {
            if index == 0 { self.besides.get(candidate.number()).copied().unwrap_or(0.0) } else { 0.0 }
        };
        let choices = usable.iter().map(|&candidate| {
            let Candidate { drop_pa, cost, .. } = candidates[candidate];
            Choice { drop_pa, cost: cost + besides(candidate) }
        });
        Node { from: self.from[index], choices: choices.collect(), end_pa: self.end_pa[index] }
    }
}

/// The candidates that may be taken: those within every limit; where each is too slow, the narrowest of these; where none
/// will do, the one that comes nearest, which is told.
fn usable(candidates: &List<Candidate>) -> Vec<Index<Candidate>> {
    let within: Vec<Index<Candidate>> =
        candidates.indices().filter(|&index| candidates[index].broken.is_none()).collect();
    if !within.is_empty() {
        return within;
    }
    let by_speed = |a: &Index<Candidate>, b: &Index<Candidate>| speed(candidates, *a).total_cmp(&speed(candidates, *b));
    // of two alike the one that lies there, which stands first
    let slow = candidates.indices().rev().filter(|&index| candidates[index].broken.is_some_and(Limit::is_slow));
    let slow = slow.max_by(by_speed);
    slow.or_else(|| fallback(candidates)).into_iter().collect()
}

/// What is taken where nothing keeps within its limits: the widest, and of two alike the one that lies there; nothing that a
/// hard limit forbids unless all is forbidden.
pub(super) fn fallback(candidates: &List<Candidate>) -> Option<Index<Candidate>> {
    let by_speed = |a: &Index<Candidate>, b: &Index<Candidate>| speed(candidates, *a).total_cmp(&speed(candidates, *b));
    let softly = candidates.indices().filter(|&index| !candidates[index].broken.is_some_and(Limit::is_hard));
    softly.min_by(by_speed).or_else(|| candidates.indices().min_by(by_speed))
}

fn speed(candidates: &List<Candidate>, index: Index<Candidate>) -> f64 {
    candidates[index].friction.velocity_m_s
}

/// The handbook's rule: the smallest bore within gradient and velocity, what lies there before any new one.
fn by_gradient(survey: &Survey, candidates: &List<Candidate>) -> Index<Candidate> {
    let most_pa_m = survey.pipes.sizing.gradient_max_pa_m;
    let keeps =
        |candidate: &Candidate| candidate.broken.is_none_or(Limit::is_slow) && candidate.steep(most_pa_m).is_none();
    candidates.position(keeps).or_else(|| fallback(candidates)).unwrap_or(Index::new(0))
}

/// What became of a tube that lies there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict {
    /// It stays, and keeps within its limits.
    Kept,
    /// It stays in any case, and breaks a limit that can be lived with.
    KeptBeyond(Limit),
    /// A new one is laid in its place, because of this; nothing where the job wants it replaced in any case.
    Replaced(Option<Limit>),
    /// It must not stay in use, and the job wants it kept.
    Refused(Limit),
}

/// What became of the tube that lies there, if one does.
pub(super) fn verdict(
    keep: Option<Keep>,
    candidates: &List<Candidate>,
    pick: Index<Candidate>,
    by_rule: Option<f64>,
) -> Option<Verdict> {
    let keep = keep?;
    if keep == Keep::Never {
        return Some(Verdict::Replaced(None));
    }
    let chosen = candidates.get(pick)?;
    let there = candidates.iter().find(|candidate| candidate.is_existing)?;
    let steep = by_rule.and_then(|most_pa_m| there.steep(most_pa_m));
    let beyond = there.broken.filter(|limit| limit.breaks != Breaks::Head).or(steep);
    Some(match (chosen.is_existing, beyond) {
        (true, None) => Verdict::Kept,
        (true, Some(limit)) if limit.is_hard() => Verdict::Refused(limit),
        (true, Some(limit)) => Verdict::KeptBeyond(limit),
        (false, limit) => Verdict::Replaced(Some(limit.unwrap_or(Limit::HEAD))),
    })
}
