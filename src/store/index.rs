//! What documents are found by, in memory: made anew from the working copy when the store is opened.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::ops::{Bound, RangeBounds as _};

use jiff::Timestamp;
use jiff::civil::Date;
use uuid::Uuid;

use super::once::Once;
use super::record::Head;
use super::words::{self, words};
use crate::quotes::{Card, State};

/// A driver of more lists than this is gathered before it is walked.
const FEW: usize = 8;
/// A driver of more documents than this is not gathered: all documents are walked instead.
const GATHERED: usize = 4096;

/// Where a document stands.
#[derive(Debug, Clone)]
pub(super) struct Standing {
    /// Number of its latest revision.
    pub(super) revision: u32,
    /// Where the line of that begins in the journal, and its length (bytes).
    pub(super) line: (u64, u64),
    /// What it is found by; nothing where it is taken away.
    pub(super) card: Option<Card>,
}

/// What is asked of a list.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Asked {
    /// State that a document stands in.
    pub state: Option<State>,
    /// First and last day on which its state may end, where that ends by itself.
    pub ends: (Option<Date>, Option<Date>),
    /// Moments between which its first revision was written; the later is not one of them.
    pub created: (Option<Timestamp>, Option<Timestamp>),
    /// What the firm calls it, whole.
    pub reference: Option<String>,
    /// Text whose every word begins a word of title, reference or client.
    pub text: Option<String>,
    /// Document that was listed last.
    pub after: Option<Uuid>,
    /// How many are listed at most.
    pub limit: usize,
}

/// A document in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listed {
    /// The document.
    pub id: Uuid,
    /// Number of its latest revision.
    pub revision: u32,
    /// What is told of it.
    pub card: Card,
}

/// What was answered to a question that had a key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answered {
    /// Digest of the question.
    pub asked: String,
    /// The document that it wrote, and its revision.
    pub wrote: (Uuid, u32),
    until: Timestamp,
}

/// What documents are found by.
#[derive(Debug, Default)]
pub(super) struct Index {
    standings: BTreeMap<Uuid, Standing>,
    /// Documents by what they are found by: see [`terms`].
    found: BTreeMap<String, BTreeSet<Uuid>>,
    answered: HashMap<String, Answered>,
    /// Documents whose latest revision is lost, with its number.
    lost: BTreeMap<Uuid, u32>,
    live: usize,
}

/// What a document is found by, each kind with a letter before it; a word that it has twice may come twice.
fn terms(card: &Card) -> impl Iterator<Item = String> + '_ {
    let plain = |text: &String| format!("r{}", text.trim().to_lowercase());
    let words = words::of(card).map(|word| format!("w{word}"));
    let others = [card.valid_until.map(|day| format!("u{day}")), card.reference.as_ref().map(plain)];
    words.chain([format!("s{}", card.state)]).chain(others.into_iter().flatten())
}

/// A range of terms: from the first, to before the last.
type Range = (Bound<String>, Bound<String>);

impl Asked {
    /// Ranges of terms, of each of which a document has one.
    fn ranges(&self) -> Vec<Range> {
        let one = |term: String| (Bound::Included(term.clone()), Bound::Included(term));
        let begins = |word: String| {
            let end = format!("w{word}\u{10ffff}");
            (Bound::Included(format!("w{word}")), Bound::Included(end))
        };
        let mut ranges: Vec<Range> = self.text.iter().flat_map(|text| words(text)).map(begins).collect();
        ranges.extend(self.state.map(|state| one(format!("s{state}"))));
        ranges.extend(self.reference.as_ref().map(|text| one(format!("r{}", text.trim().to_lowercase()))));
        if let (first, last) = self.ends
            && (first.is_some() || last.is_some())
        {
            let first = Bound::Included(first.map_or_else(|| "u".to_owned(), |day| format!("u{day}")));
            ranges
                .push((first, last.map_or(Bound::Excluded("v".to_owned()), |day| Bound::Included(format!("u{day}")))));
        }
        ranges
    }

    /// Ids of documents whose first revision may have been written then: they begin with its moment.
    fn ids(&self) -> (Bound<Uuid>, Bound<Uuid>) {
        let first_of = |moment: Timestamp| {
            let millis = u128::try_from(moment.as_millisecond().max(0)).unwrap_or_default();
            Uuid::from_u128(millis << 80)
        };
        let (first, end) = self.created;
        let first = first.map_or(Bound::Unbounded, |moment| Bound::Included(first_of(moment)));
        let end = [end.map(first_of), self.after].into_iter().flatten().min();
        (first, end.map_or(Bound::Unbounded, Bound::Excluded))
    }
}

impl Index {
    /// The index of revisions, each with its line: what [`Index::take`] would make of one after the other, many times quicker.
    pub(super) fn of(mut revisions: Vec<(Head, (u64, u64))>) -> Self {
        revisions.sort_unstable_by_key(|(head, _)| (head.id, head.revision));
        let (mut index, mut standings) = (Self::default(), Vec::<(Uuid, Standing)>::with_capacity(revisions.len()));
        for (Head { id, revision, once, card, .. }, line) in revisions {
            index.keep_answer(once, (id, revision));
            let standing = Standing { revision, line, card };
            match standings.last_mut() {
                Some((last, before)) if *last == id => *before = standing,
                Some(_) | None => standings.push((id, standing)),
            }
        }
        let mut found: HashMap<String, Vec<Uuid>, foldhash::fast::RandomState> = HashMap::default();
        for (id, card) in standings.iter().filter_map(|(id, standing)| Some((*id, standing.card.as_ref()?))) {
            index.live += 1;
            for term in terms(card) {
                found.entry(term).or_default().push(id);
            }
        }
        index.found = found.into_iter().map(|(term, ids)| (term, ids.into_iter().collect())).collect();
        index.standings = standings.into_iter().collect();
        index
    }

    fn keep_answer(&mut self, once: Option<Once>, wrote: (Uuid, u32)) {
        if let Some(Once { key, asked, until }) = once {
            self.answered.insert(key, Answered { asked, wrote, until });
        }
    }

    /// Takes a revision in, if it is the latest of its document.
    pub(super) fn take(&mut self, head: &Head, line: (u64, u64)) {
        self.keep_answer(head.once.clone(), (head.id, head.revision));
        let before = self.standings.get(&head.id);
        if before.is_some_and(|before| before.revision > head.revision) {
            return;
        }
        if let Some(card) = before.and_then(|before| before.card.clone()) {
            self.forget(head.id, &card);
        }
        if self.lost.get(&head.id).is_some_and(|lost| *lost <= head.revision) {
            self.lost.remove(&head.id);
        }
        if let Some(card) = &head.card {
            self.live += 1;
            for term in terms(card) {
                self.found.entry(term).or_default().insert(head.id);
            }
        }
        self.standings.insert(head.id, Standing { revision: head.revision, line, card: head.card.clone() });
    }

    fn forget(&mut self, id: Uuid, card: &Card) {
        self.live -= 1;
        for term in terms(card) {
            if let Some(ids) = self.found.get_mut(&term) {
                ids.remove(&id);
                if ids.is_empty() {
                    self.found.remove(&term);
                }
            }
        }
    }

    /// Knows of a revision that is lost.
    pub(super) fn lose(&mut self, id: Uuid, revision: u32) {
        if self.standings.get(&id).is_none_or(|standing| standing.revision < revision) {
            self.lost.insert(id, revision);
        }
    }

    /// Whether the latest revision of a document is lost.
    pub(super) fn is_lost(&self, id: Uuid) -> bool {
        self.lost.contains_key(&id)
    }

    /// Where a document stands.
    pub(super) fn standing(&self, id: Uuid) -> Option<&Standing> {
        self.standings.get(&id)
    }

    /// Number of the latest revision of a document, if only of one that is lost or taken away.
    pub(super) fn last_number(&self, id: Uuid) -> Option<u32> {
        let standing = self.standings.get(&id).map(|standing| standing.revision);
        standing.max(self.lost.get(&id).copied())
    }

    /// How many documents there are.
    pub(super) fn count(&self) -> usize {
        self.live
    }

    /// What was answered to a question of this key, as long as that is kept.
    pub(super) fn answered(&self, key: &str, now: Timestamp) -> Option<&Answered> {
        self.answered.get(key).filter(|answered| now < answered.until)
    }

    /// Forgets keys whose time is over.
    pub(super) fn forget_keys(&mut self, now: Timestamp) {
        self.answered.retain(|_, answered| now < answered.until);
    }

    /// Documents that are asked for, the latest first, and whether there are more.
    pub(super) fn list(&self, asked: &Asked) -> (Vec<Listed>, bool) {
        let conditions: Vec<Condition> = asked.ranges().into_iter().map(|range| self.condition(range)).collect();
        let mut listed = Vec::new();
        for id in self.candidates(&conditions, asked.ids()) {
            let Some(Standing { revision, card: Some(card), .. }) = self.standings.get(&id) else { continue };
            if self.is_lost(id) || !conditions.iter().all(|condition| condition.holds(id, card)) {
                continue;
            }
            if listed.len() == asked.limit {
                return (listed, true);
            }
            listed.push(Listed { id, revision: *revision, card: card.clone() });
        }
        (listed, false)
    }

    fn condition(&self, range: Range) -> Condition<'_> {
        let is_upside_down = matches!(
            &range,
            (Bound::Included(first), Bound::Included(last) | Bound::Excluded(last)) if first > last
        );
        let lists = if is_upside_down {
            Vec::new()
        } else {
            self.found.range::<String, _>(range.clone()).map(|(_, ids)| ids).collect()
        };
        Condition { range, lists }
    }

    /// Documents among which all are that are asked for, the latest first: by what leaves fewest, where that is few.
    fn candidates<'i>(
        &'i self,
        conditions: &[Condition<'i>],
        ids: (Bound<Uuid>, Bound<Uuid>),
    ) -> Box<dyn Iterator<Item = Uuid> + 'i> {
        if matches!(ids, (Bound::Included(first), Bound::Excluded(end)) if first >= end) {
            return Box::new(std::iter::empty());
        }
        match conditions.iter().min_by_key(|condition| condition.count()) {
            Some(fewest) if fewest.count() <= GATHERED => {
                let gathered: BTreeSet<Uuid> = fewest.lists.iter().flat_map(|list| list.range(ids)).copied().collect();
                Box::new(gathered.into_iter().rev())
            }
            Some(fewest) if fewest.lists.len() <= FEW => Box::new(merged(&fewest.lists, ids)),
            Some(_) | None => Box::new(self.standings.range(ids).rev().map(|(id, _)| *id)),
        }
    }
}

/// What a document must be found by.
struct Condition<'i> {
    range: Range,
    /// Documents of each term of the range.
    lists: Vec<&'i BTreeSet<Uuid>>,
}

impl Condition<'_> {
    /// How many documents hold it, those that hold it twice counted twice.
    fn count(&self) -> usize {
        self.lists.iter().map(|ids| ids.len()).sum()
    }

    fn holds(&self, id: Uuid, card: &Card) -> bool {
        if self.lists.len() <= FEW {
            return self.lists.iter().any(|ids| ids.contains(&id));
        }
        terms(card).any(|term| self.range.contains(&term))
    }
}

/// Ids of several lists, the latest first, each once.
fn merged<'i>(lists: &[&'i BTreeSet<Uuid>], ids: (Bound<Uuid>, Bound<Uuid>)) -> impl Iterator<Item = Uuid> + 'i {
    let mut lists: Vec<_> = lists.iter().map(|list| list.range(ids).rev().copied().peekable()).collect();
    std::iter::from_fn(move || {
        let next = lists.iter_mut().filter_map(|list| list.peek().copied()).max()?;
        for list in &mut lists {
            list.next_if_eq(&next);
        }
        Some(next)
    })
}
