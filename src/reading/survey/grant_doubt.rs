//! What in a job speaks against a grant for a heat pump.

use crate::notes::Term;

/// What in a job speaks against a grant for a heat pump.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GrantDoubt {
    /// The dwelling has a heat pump already.
    HeatPumpAlready,
    /// No heating is replaced.
    NothingReplaced,
    /// The dwelling is taxed as a new one.
    NewDwelling,
}

impl Term for GrantDoubt {
    fn code(&self) -> &'static str {
        match self {
            Self::HeatPumpAlready => "heat_pump_already",
            Self::NothingReplaced => "nothing_replaced",
            Self::NewDwelling => "new_dwelling",
        }
    }

    fn words(&self) -> &'static str {
        match self {
            Self::HeatPumpAlready => "the dwelling has a heat pump already",
            Self::NothingReplaced => "no heating is replaced",
            Self::NewDwelling => "the dwelling is taxed as a new one",
        }
    }
}
