//! What is found beside the figures, declared as a table: code, meaning, values, place and sentence together.

use std::borrow::Cow;

use super::values::Values;
use super::{Note, Notes};

/// What sort of finding it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sort {
    /// What the job left out and the program filled in.
    Assumption,
    /// What looks wrong.
    Warning,
    /// What to beware of.
    Caution,
    /// A need that is not met.
    Unmet,
}

impl Sort {
    /// Its name, in snake case.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::Assumption => "assumption",
            Self::Warning => "warning",
            Self::Caution => "caution",
            Self::Unmet => "unmet",
        }
    }
}

/// An entry of the register of codes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Registered {
    /// Stable name of the finding, in snake case.
    pub code: &'static str,
    /// What sort of finding it is.
    pub sort: Sort,
    /// What it means, in words.
    pub meaning: String,
    /// Names of the values beside its sentence; some may be absent from one.
    pub values: Vec<&'static str>,
    /// The words that a value may take, by its name, where they are a closed set.
    pub terms: Vec<(&'static str, Vec<&'static str>)>,
}

/// A need in figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Need {
    /// What is needed, in the unit.
    pub need: f64,
    /// What was reached, in the unit.
    pub reached: f64,
    /// The unit of both.
    pub unit: Cow<'static, str>,
}

/// Something found: plain data, put into words in a context that knows what things are called.
pub trait Finding<C: ?Sized> {
    /// What sort all of them are.
    const SORT: Sort;

    /// The entries of all of them in the register of codes.
    fn registered() -> Vec<Registered>;

    /// Stable name, in snake case.
    fn code(&self) -> &'static str;

    /// JSON Pointer into the job.
    fn pointer(&self, context: &C) -> String;

    /// The finding in plain words.
    fn detail(&self, context: &C) -> String;

    /// Its figures and words by name.
    fn values(&self, context: &C) -> Values;

    /// The need in figures, where it is one.
    fn need(&self) -> Option<Need>;
}

/// A finding that is told as a note. A need is none: it stands in a row of its own.
pub trait Noted<C: ?Sized>: Finding<C> {
    /// The list of notes that it belongs to.
    fn list(notes: &mut Notes) -> &mut Vec<Note>;
}

/// Declares findings of one sort, with all that is known of each in one place.
///
/// An entry is a doc comment (its meaning, for the register), the code, the variant with named fields (units in their names,
/// which are the names of its values), `at` its place in the job, and `says` its sentence. Place and sentence are a template
/// that names the fields, a template with arguments in brackets, or a block of code in braces; fields stand in them as
/// they are said ([`Field::said`](crate::notes::Field::said)). A need has `wants` besides: needed, reached and unit.
#[macro_export]
macro_rules! findings {
    (
        $(#[$meta:meta])*
        $vis:vis enum $name:ident: $sort:ident of $context:ident: $type:ty {
            $(
                $(#[doc = $doc:literal])+
                $code:literal $variant:ident { $($field:ident: $field_type:ty),* $(,)? }
                at $at:tt
                $(wants ($need:expr, $reached:expr, $unit:expr))?
                says $says:tt;
            )*
        }
    ) => {
        $(#[$meta])*
        $vis enum $name {
            $(
                $(#[doc = $doc])+
                $variant { $(
                    #[doc = concat!("Its `", stringify!($field), "`.")]
                    $field: $field_type,
                )* },
            )*
        }

        impl $crate::notes::Finding<$type> for $name {
            const SORT: $crate::notes::Sort = $crate::notes::Sort::$sort;

            fn registered() -> Vec<$crate::notes::Registered> {
                vec![$($crate::notes::Registered {
                    code: $code,
                    sort: $crate::notes::Sort::$sort,
                    meaning: [$($doc.trim_ascii()),+].join(" "),
                    values: <[Vec<&'static str>]>::concat(&[$(<$field_type as $crate::notes::Field<$type>>::names(stringify!($field))),*]),
                    terms: [$((stringify!($field), <$field_type as $crate::notes::Field<$type>>::terms())),*]
                        .into_iter()
                        .filter(|(_, terms): &(&str, Vec<&str>)| !terms.is_empty())
                        .collect(),
                },)*]
            }

            fn code(&self) -> &'static str {
                match *self {
                    $(Self::$variant { .. } => $code,)*
                }
            }

            fn pointer(&self, $context: &$type) -> String {
                let _ = $context;
                match *self {
                    $(Self::$variant { $(ref $field),* } => {
                        $(let $field = $crate::notes::Field::<$type>::said($field, $context);)*
                        $(let _ = &$field;)*
                        $crate::findings!(@text $at)
                    })*
                }
            }

            fn detail(&self, $context: &$type) -> String {
                let _ = $context;
                match *self {
                    $(Self::$variant { $(ref $field),* } => {
                        $(let $field = $crate::notes::Field::<$type>::said($field, $context);)*
                        $(let _ = &$field;)*
                        $crate::findings!(@text $says)
                    })*
                }
            }

            fn values(&self, $context: &$type) -> $crate::notes::Values {
                let _ = $context;
                match *self {
                    $(Self::$variant { $(ref $field),* } => {
                        let values = $crate::notes::Values::default();
                        $(let values = values.with(stringify!($field), $field, $context);)*
                        values
                    })*
                }
            }

            fn need(&self) -> Option<$crate::notes::Need> {
                match *self {
                    $(Self::$variant { $(ref $field),* } => {
                        $(let _ = $field;)*
                        $crate::findings!(@need $(($need, $reached, $unit))?)
                    })*
                }
            }
        }

        $crate::findings!(@noted $sort $name $type);
    };
    (@noted Unmet $name:ident $type:ty) => {};
    (@noted Assumption $name:ident $type:ty) => { $crate::findings!(@into assumptions $name $type); };
    (@noted Warning $name:ident $type:ty) => { $crate::findings!(@into warnings $name $type); };
    (@noted Caution $name:ident $type:ty) => { $crate::findings!(@into cautions $name $type); };
    (@into $list:ident $name:ident $type:ty) => {
        impl $crate::notes::Noted<$type> for $name {
            fn list(notes: &mut $crate::notes::Notes) -> &mut Vec<$crate::notes::Note> {
                &mut notes.$list
            }
        }
    };
    (@text $template:literal) => { format!($template) };
    (@text ($($arguments:tt)*)) => { format!($($arguments)*) };
    (@text { $($body:tt)* }) => { String::from({ $($body)* }) };
    (@need) => { None };
    (@need ($need:expr, $reached:expr, $unit:expr)) => {
        Some($crate::notes::Need { need: f64::from($need), reached: f64::from($reached), unit: $unit.into() })
    };
}
