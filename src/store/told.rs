//! What a store tells of damage: what it restored, and what is missing.

use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// A revision that is in no part of the store any more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lost {
    /// Number of its record; nothing where it was found to be lost when it was asked for.
    pub n: Option<u64>,
    /// The document and the number of its revision, where any part still knows.
    pub what: Option<(Uuid, u32)>,
}

/// What was found when the parts of a store were held against each other.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Told {
    /// Records that each part had lost and was given back.
    pub restored: Restored,
    /// Records that no part has.
    pub lost: Vec<Lost>,
    /// Names of damaged files of the folder that were put aside.
    pub aside: Vec<String>,
    /// Whether the last line of the journal had been cut off before it was acknowledged.
    pub torn: bool,
}

/// Records that a part of the store had lost and was given back from the others, since it was opened.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, ToSchema)]
pub struct Restored {
    /// In the journal.
    #[schema(value_type = i64, minimum = 0)]
    pub journal: u64,
    /// In the working copy.
    #[schema(value_type = i64, minimum = 0)]
    pub copy: u64,
    /// In the register.
    #[schema(value_type = i64, minimum = 0)]
    pub register: u64,
}

impl Restored {
    /// Whether anything was restored.
    #[must_use]
    pub fn is_any(&self) -> bool {
        *self != Self::default()
    }
}

impl Told {
    /// Adds what was found later; what is lost is what was found last.
    pub(super) fn add(&mut self, later: Self) {
        self.restored.journal += later.restored.journal;
        self.restored.copy += later.restored.copy;
        self.restored.register += later.restored.register;
        self.lost = later.lost;
        self.aside.extend(later.aside);
        self.torn |= later.torn;
    }

    /// Says it in the log.
    pub(super) fn log(&self) {
        let Restored { journal, copy, register } = self.restored;
        if self.torn {
            tracing::info!("the journal ended in a line that was not acknowledged; it was cut off");
        }
        if self.restored.is_any() {
            tracing::warn!(journal, copy, register, "records were restored from the other parts of the store");
        }
        for file in &self.aside {
            tracing::warn!(file, "a damaged part of the store was put aside");
        }
        for lost in &self.lost {
            match lost.what {
                Some((id, revision)) => tracing::error!(%id, revision, "a revision is lost in every part of the store"),
                None => tracing::error!(record = ?lost.n, "a record is lost in every part of the store"),
            }
        }
    }
}
