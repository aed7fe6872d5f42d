//! Each equation written once: computed always, shown on request.
//!
//! [`eq!`](crate::eq) evaluates an expression and, when workings are wanted, records its own text, the
//! values that went in, the result and the clause it comes from. With [`Off`] nothing is left of it: the
//! compiler sees the bare expression. So a shown formula cannot differ from the computed one.

use std::cell::Cell;

use crate::sources::{ALL, Source};

/// One recorded equation.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// JSON Pointer to the figure of the answer that this equation belongs to: always a number. The last of its equations
    /// gives it, in its unit.
    pub figure: String,
    /// Name of the computed quantity, with its unit.
    pub name: &'static str,
    /// The equation's right-hand side, as written in the program.
    pub formula: &'static str,
    /// Each name in the formula with its value, in order of first appearance.
    pub values: Vec<(&'static str, f64)>,
    /// What came out.
    pub result: f64,
    /// Where the equation was published.
    pub source: &'static Source,
    /// Clause, equation or table; empty where none is known to us.
    pub clause: &'static str,
}

/// Where equations go: nowhere ([`Off`]) or into a list ([`Book`]).
pub trait Workings {
    /// The same, pointed at one figure of the answer.
    type Scope<'a>: Workings
    where
        Self: 'a;

    /// Points what follows at a figure of the answer (a JSON Pointer, built only when it is wanted).
    fn at<'a>(&'a mut self, figure: impl FnOnce() -> String) -> Self::Scope<'a>;

    /// Points what follows at a member of the figure that is pointed at now.
    fn within<'a>(&'a mut self, member: &'static str) -> Self::Scope<'a>;

    /// Points what follows at a row of a list of the figure that is pointed at now.
    fn row<'a>(&'a mut self, list: &'static str, index: usize) -> Self::Scope<'a>;

    /// The same, for what rests on sources and is not shown equation by equation.
    type Unshown<'a>: Workings
    where
        Self: 'a;

    /// Lets what follows cite its sources, and shows none of its equations.
    fn unshown(&mut self) -> Self::Unshown<'_>;

    /// Notes that the result rests on a source; every equation does so by itself.
    fn cite(&mut self, source: &'static Source);

    /// Records an equation of a source, built only when it is wanted.
    fn step(&mut self, source: &'static Source, make: impl FnOnce() -> Step);

    /// Whether equations are recorded at all: what was computed before without them can stand where none is wanted.
    fn records(&self) -> bool;

    /// Whether anything is kept, equations or what is cited: then what was computed before must be computed again.
    fn listens(&self) -> bool;
}

/// No workings: every call vanishes.
#[derive(Debug, Clone, Copy, Default)]
pub struct Off;

impl Workings for Off {
    type Scope<'a> = Off;

    #[expect(clippy::inline_always, reason = "measured: without it the closures cost where they should cost nothing")]
    #[inline(always)]
    fn at(&mut self, _: impl FnOnce() -> String) -> Off {
        Off
    }

    #[inline]
    fn within(&mut self, _: &'static str) -> Off {
        Off
    }

    #[inline]
    fn row(&mut self, _: &'static str, _: usize) -> Off {
        Off
    }

    type Unshown<'a> = Off;

    #[inline]
    fn unshown(&mut self) -> Off {
        Off
    }

    #[inline]
    fn cite(&mut self, _: &'static Source) {}

    #[inline(always)]
    fn step(&mut self, _: &'static Source, _: impl FnOnce() -> Step) {}

    #[inline]
    fn records(&self) -> bool {
        false
    }

    #[inline]
    fn listens(&self) -> bool {
        false
    }
}

/// Workings kept, in the order of computation, so many of them at most: whoever asks for more counts what they cost, and refuses.
#[derive(Debug)]
pub struct Book<'v> {
    steps: &'v mut Vec<Step>,
    figure: String,
}

impl<'v> Book<'v> {
    /// Equations that a book holds, some hundred megabytes of text; what follows is not recorded.
    pub const MOST: usize = 400_000;

    /// A book that writes into `steps`.
    pub fn new(steps: &'v mut Vec<Step>) -> Self {
        Self { steps, figure: String::new() }
    }
}

impl Workings for Book<'_> {
    type Scope<'a>
        = Book<'a>
    where
        Self: 'a;

    fn at<'a>(&'a mut self, figure: impl FnOnce() -> String) -> Book<'a> {
        Book { steps: self.steps, figure: figure() }
    }

    fn within<'a>(&'a mut self, member: &'static str) -> Book<'a> {
        Book { figure: format!("{}/{member}", self.figure), steps: self.steps }
    }

    fn row<'a>(&'a mut self, list: &'static str, index: usize) -> Book<'a> {
        Book { figure: format!("{}/{list}/{index}", self.figure), steps: self.steps }
    }

    type Unshown<'a>
        = Off
    where
        Self: 'a;

    fn unshown(&mut self) -> Off {
        Off
    }

    fn cite(&mut self, _: &'static Source) {}

    #[cold]
    #[inline(never)]
    fn step(&mut self, _: &'static Source, make: impl FnOnce() -> Step) {
        if self.steps.len() >= Self::MOST {
            return;
        }
        let mut step = make();
        step.figure.clone_from(&self.figure);
        let mut seen = Vec::with_capacity(step.values.len());
        step.values.retain(|&(name, _)| {
            !seen.contains(&name) && {
                seen.push(name);
                true
            }
        });
        self.steps.push(step);
    }

    fn records(&self) -> bool {
        true
    }

    fn listens(&self) -> bool {
        true
    }
}

/// Workings that are wanted or not, decided while running: for whoever answers, not for whoever computes often.
impl Workings for Option<Book<'_>> {
    type Scope<'a>
        = Option<Book<'a>>
    where
        Self: 'a;

    fn at<'a>(&'a mut self, figure: impl FnOnce() -> String) -> Option<Book<'a>> {
        self.as_mut().map(|book| book.at(figure))
    }

    fn within<'a>(&'a mut self, member: &'static str) -> Option<Book<'a>> {
        self.as_mut().map(|book| book.within(member))
    }

    fn row<'a>(&'a mut self, list: &'static str, index: usize) -> Option<Book<'a>> {
        self.as_mut().map(|book| book.row(list, index))
    }

    type Unshown<'a>
        = Off
    where
        Self: 'a;

    fn unshown(&mut self) -> Off {
        Off
    }

    fn cite(&mut self, _: &'static Source) {}

    fn step(&mut self, source: &'static Source, make: impl FnOnce() -> Step) {
        if let Some(book) = self {
            book.step(source, make);
        }
    }

    fn records(&self) -> bool {
        self.is_some()
    }

    fn listens(&self) -> bool {
        self.is_some()
    }
}

/// The sources that something rests on, each once.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Cited(Cell<u64>);

impl Cited {
    /// Adds a source.
    pub fn add(&self, source: &'static Source) {
        self.0.set(self.0.get() | 1 << source.place);
    }

    /// Adds what others cite.
    pub fn join(&self, others: &Self) {
        self.0.set(self.0.get() | others.0.get());
    }

    /// The sources, in the order of their page.
    pub fn sources(&self) -> impl Iterator<Item = &'static Source> {
        let cited = self.0.get();
        ALL.iter().copied().filter(move |source| cited & (1 << source.place) != 0)
    }
}

/// Workings that also gather what is cited, shown or not.
///
/// # Examples
/// ```
/// use tundish_engine::methods::workings::{Cited, Citing};
/// use tundish_engine::methods::{Off, en_1264_2};
/// use tundish_engine::sources::EN_1264_2;
/// let cited = Cited::default();
/// en_1264_2::output_at_surface_excess(9.0, &mut Citing::new(Off, &cited));
/// assert!(cited.sources().eq([&EN_1264_2]));
/// ```
#[derive(Debug)]
pub struct Citing<'c, W> {
    inner: W,
    cited: &'c Cited,
}

impl<'c, W> Citing<'c, W> {
    /// Gathers what is cited on the way to other workings.
    pub fn new(inner: W, cited: &'c Cited) -> Self {
        Self { inner, cited }
    }
}

impl<W: Workings> Workings for Citing<'_, W> {
    type Scope<'a>
        = Citing<'a, W::Scope<'a>>
    where
        Self: 'a;

    fn at<'a>(&'a mut self, figure: impl FnOnce() -> String) -> Self::Scope<'a> {
        Citing { inner: self.inner.at(figure), cited: self.cited }
    }

    fn within<'a>(&'a mut self, member: &'static str) -> Self::Scope<'a> {
        Citing { inner: self.inner.within(member), cited: self.cited }
    }

    fn row<'a>(&'a mut self, list: &'static str, index: usize) -> Self::Scope<'a> {
        Citing { inner: self.inner.row(list, index), cited: self.cited }
    }

    type Unshown<'a>
        = Citing<'a, Off>
    where
        Self: 'a;

    fn unshown(&mut self) -> Citing<'_, Off> {
        Citing { inner: Off, cited: self.cited }
    }

    fn cite(&mut self, source: &'static Source) {
        self.cited.add(source);
    }

    fn step(&mut self, source: &'static Source, make: impl FnOnce() -> Step) {
        self.cited.add(source);
        self.inner.step(source, make);
    }

    fn records(&self) -> bool {
        self.inner.records()
    }

    fn listens(&self) -> bool {
        true
    }
}

/// Computes an equation and lets the workings record it: `eq!(w, SOURCE "clause": name = expression);`
/// (or without a clause: `eq!(w, SOURCE: name = expression);`).
///
/// The expression holds plain names, numbers, operators and free functions of [`math`](super::math), so
/// that its text is a formula; fields and method calls are bound to names first. It never stands inside an
/// iteration: the converged state is recorded, not the way to it.
#[macro_export]
macro_rules! eq {
    ($w:ident, $src:ident : $name:ident = $($e:tt)+) => { $crate::eq!($w, $src "": $name = $($e)+) };
    ($w:ident, $src:ident $clause:literal : $name:ident = $($e:tt)+) => {
        let $name: f64 = $($e)+;
        $crate::methods::workings::Workings::step($w, &$crate::sources::$src, || $crate::methods::workings::Step {
            figure: String::new(),
            name: stringify!($name),
            formula: stringify!($($e)+),
            values: $crate::eq!(@values [] $($e)+),
            result: $name,
            source: &$crate::sources::$src,
            clause: $clause,
        });
    };
    (@values [$($a:ident)*]) => { vec![$((stringify!($a), $a)),*] };
    (@values [$($a:ident)*] . $($rest:tt)*) => { compile_error!("bind fields and method calls to names first") };
    (@values [$($a:ident)*] $f:ident ( $($inner:tt)* ) $($rest:tt)*) => { $crate::eq!(@values [$($a)*] $($inner)* $($rest)*) };
    (@values [$($a:ident)*] ( $($inner:tt)* ) $($rest:tt)*) => { $crate::eq!(@values [$($a)*] $($inner)* $($rest)*) };
    (@values [$($a:ident)*] $x:ident $($rest:tt)*) => { $crate::eq!(@values [$($a)* $x] $($rest)*) };
    (@values [$($a:ident)*] $other:tt $($rest:tt)*) => { $crate::eq!(@values [$($a)*] $($rest)*) };
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::math::pow;

    fn example(w: &mut impl Workings) -> f64 {
        let (base, n) = (3.0, 2.0);
        eq!(w, EN_442 "5.1": square = pow(base, n) + base - base);
        eq!(w, EN_442: half = square / 2.0);
        half
    }

    #[test]
    fn a_full_book_records_no_more_and_computes_on() {
        let mut steps = Vec::new();
        example(&mut Book::new(&mut steps));
        let one = Step { figure: String::new(), values: Vec::new(), ..steps[0].clone() };
        let mut steps = vec![one; Book::MOST - 1];
        assert_eq!(example(&mut Book::new(&mut steps)), example(&mut Off));
        assert_eq!(steps.len(), Book::MOST);
    }

    #[test]
    fn records_the_text_it_computed() {
        let mut steps = Vec::new();
        let mut book = Book::new(&mut steps);
        let result = example(&mut book.at(|| "/a/b".to_owned()));
        assert_eq!(result, example(&mut Off));
        assert_eq!(steps.len(), 2);
        assert_eq!(steps[0].formula, "pow(base, n) + base - base");
        assert_eq!(steps[0].values, [("base", 3.0), ("n", 2.0)]);
        assert_eq!((steps[0].figure.as_str(), steps[0].clause, steps[1].clause), ("/a/b", "5.1", ""));
        let mut book = Book::new(&mut steps);
        example(&mut book.at(|| "/a".to_owned()).within("c"));
        assert_eq!(steps[2].figure, "/a/c");
        example(&mut Book::new(&mut steps).at(|| "/a".to_owned()).row("b", 3).within("c"));
        assert_eq!(steps[4].figure, "/a/b/3/c");
    }

    #[test]
    fn off_has_no_size_and_builds_nothing() {
        assert_eq!(size_of::<Off>(), 0);
        let _ = Off.at(|| unreachable!("a pointer is built only when it is wanted"));
    }
}
