//! What an answer is asked for, and which stages it tells of.

use crate::design::emitters::Tells;
use crate::each_stage;
use crate::notes::Stage;

macro_rules! questions {
    ($(stage $name:ident: $result:ident {
        from |$run:ident| $before:expr;
        notes $notes:ident;
        told $told:ident;
        $(answers $answered:ident: $question:ident { $($rest:tt)* })?
    })*) => {
        /// A question: one for each stage that answers by itself, and two for several at once.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub(super) enum Question {
            $($($question,)?)*
            /// Flow temperatures side by side.
            FlowTemperatures,
            /// Every stage at once.
            Proposal,
        }

        impl Question {
            /// The kind of assumptions that its answer holds, with those before.
            pub(super) fn notes(self) -> Stage {
                match self {
                    $($(Self::$question => Stage::$notes,)?)*
                    Self::FlowTemperatures => Stage::Plant,
                    Self::Proposal => Stage::Estimate,
                }
            }
        }
    };
}

each_stage!(questions);

impl Question {
    /// Whether its answer tells of what belongs to another: money tells of everything that it rests on.
    pub(super) fn tells_of(self, other: Self) -> bool {
        self == other || self.notes() == Stage::Estimate
    }

    /// Whether its answer shows the workings of what belongs to another. Money has no equation of a published method; each of
    /// its lines says where its quantity comes from.
    pub(super) fn shows(self, other: Self) -> bool {
        self == other || self == Self::Proposal
    }

    /// How much floors tell where it is asked.
    pub(super) fn floors(self) -> Tells {
        match self {
            Self::Emitters | Self::Proposal => Tells::All,
            Self::HeatLoss
            | Self::FlowTemperatures
            | Self::Pipework
            | Self::Plant
            | Self::Bill
            | Self::Programme
            | Self::Price => Tells::Duty,
        }
    }
}
