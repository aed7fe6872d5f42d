//! What in a job speaks against a grant for a heat pump.

use crate::notes::{Field, Value, Values};

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

impl<C: ?Sized> Field<C> for GrantDoubt {
    type Said<'f>
        = &'static str
    where
        C: 'f;

    fn said<'f>(&'f self, _: &'f C) -> &'static str {
        match self {
            Self::HeatPumpAlready => "the dwelling has a heat pump already",
            Self::NothingReplaced => "no heating is replaced",
            Self::NewDwelling => "the dwelling is taxed as a new one",
        }
    }

    fn put(&self, name: &'static str, _: &C, values: &mut Values) {
        let code = match self {
            Self::HeatPumpAlready => "heat_pump_already",
            Self::NothingReplaced => "nothing_replaced",
            Self::NewDwelling => "new_dwelling",
        };
        values.put(name, Value::Word(code.into()));
    }
}
