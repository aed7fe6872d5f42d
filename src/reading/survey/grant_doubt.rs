//! What in a job speaks against a grant for a heat pump.

use crate::terms;

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

terms! {
    GrantDoubt {
        HeatPumpAlready: "heat_pump_already", "the dwelling has a heat pump already";
        NothingReplaced: "nothing_replaced", "no heating is replaced";
        NewDwelling: "new_dwelling", "the dwelling is taxed as a new one";
    }
}
