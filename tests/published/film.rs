//! Heat transfer from water to its tube against a general-purpose library.

use serde::Deserialize;
use tundish::methods::{Off, film};

use super::fixture::{assert_within, rows};

#[derive(Debug, Deserialize)]
struct Row {
    reynolds: f64,
    prandtl: f64,
    friction_factor: Option<f64>,
    nusselt: f64,
}

/// Source and tolerance stand in the file.
#[test]
fn films_are_those_of_another_library() {
    for Row { reynolds, prandtl, friction_factor, nusselt } in rows::<Row>("film.csv") {
        let what = format!("Re {reynolds}, Pr {prandtl}");
        let found = film::nusselt(reynolds, prandtl, 0.0, &mut Off).unwrap();
        assert_within(&what, found, nusselt, 1e-6 * nusselt);
        if let Some(friction_factor) = friction_factor {
            let found = film::gnielinski(reynolds, prandtl, friction_factor, &mut Off);
            assert_within(&what, found, nusselt, 1e-6 * nusselt);
        }
    }
}
