//! Typical U-values: what to take for an element that nobody can look into, by its kind and its year.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::error::CatalogueError;
use super::provenance::Confidence;
use super::rows::{self, data_file};

/// Part of the envelope that a typical U-value is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum TypicalPart {
    /// Wall, a party wall too.
    Wall,
    /// Roof.
    Roof,
    /// Floor.
    Floor,
    /// Window.
    Window,
    /// Door.
    Door,
}

/// The U-value that an element of some years is taken to have.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TypicalUValue {
    /// Kind of element: the same in all its rows.
    #[schema(pattern = "^[a-z0-9][a-z0-9_-]{0,63}$")]
    pub element: String,
    /// What it is, in plain words, with the letter of its age band if there are bands.
    #[schema(min_length = 1, max_length = 200)]
    pub description: String,
    /// Part of the envelope.
    pub part: TypicalPart,
    /// First year of construction that the row holds for; 0 where it has no beginning.
    #[schema(minimum = 0, maximum = 9_999)]
    pub from_year: u32,
    /// Last year of construction that the row holds for; 9999 where no end is known.
    #[schema(minimum = 0, maximum = 9_999)]
    pub until_year: u32,
    /// U-value, W/(m² K); 0 where next to nothing is lost.
    #[schema(minimum = 0, maximum = 10)]
    pub u_value_w_m2k: f64,
    /// Share of the sunshine on it that a window lets through, from 0 to 1; absent where it is not known or
    /// nothing shines through.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 1)]
    pub solar_factor: Option<f64>,
    /// Document that the row comes from.
    #[schema(min_length = 1, max_length = 200)]
    pub source: String,
    /// How far the U-value is to be trusted. The years are from memory in every row.
    pub confidence: Confidence,
}

/// The shipped typical U-values.
pub(super) fn read() -> Result<Vec<TypicalUValue>, CatalogueError> {
    rows::typed(data_file!("typical_u_values.csv"))
}

/// The row of an element for a year of construction. `None` if there is no such element, or no row of it for
/// that year.
///
/// # Examples
/// ```
/// use tundish_reading::catalogue::{Catalogue, typical::find};
/// let catalogue = Catalogue::try_built_in().unwrap();
/// let rows = &catalogue.typical_u_values;
/// assert_eq!(find(rows, "cavity_wall", 1975).unwrap().u_value_w_m2k, 1.6);
/// assert_eq!(find(rows, "cavity_wall", 1976).unwrap().u_value_w_m2k, 1.0);
/// ```
#[must_use]
pub fn find<'r>(rows: &'r [TypicalUValue], element: &str, year: u32) -> Option<&'r TypicalUValue> {
    rows.iter().find(|row| row.element == element && (row.from_year..=row.until_year).contains(&year))
}

#[cfg(test)]
mod tests {
    use indexmap::IndexMap;
    use regex::Regex;

    use super::*;
    use crate::catalogue::rows::DataFile;

    /// Rows by element, in the order of the file.
    fn by_element(rows: &[TypicalUValue]) -> IndexMap<&str, Vec<&TypicalUValue>> {
        let mut elements: IndexMap<&str, Vec<&TypicalUValue>> = IndexMap::new();
        for row in rows {
            elements.entry(row.element.as_str()).or_default().push(row);
        }
        elements
    }

    #[test]
    fn bands_of_an_element_leave_no_gap_and_do_not_overlap() {
        let rows = read().unwrap();
        for (element, bands) in by_element(&rows) {
            assert_eq!((bands[0].from_year, bands[bands.len() - 1].until_year), (0, 9_999), "{element}");
            assert!(bands.iter().all(|band| band.from_year <= band.until_year), "{element}");
            assert!(bands.is_sorted_by(|a, b| a.until_year + 1 == b.from_year), "{element}");
            assert!(bands.iter().all(|band| band.part == bands[0].part), "{element}");
        }
    }

    #[test]
    fn bands_have_the_letters_and_years_of_the_age_bands() {
        let first_years = [0, 1900, 1930, 1950, 1967, 1976, 1983, 1991, 1996, 2003, 2007, 2012];
        let rows = read().unwrap();
        let mut banded = 0;
        for (element, bands) in by_element(&rows).into_iter().filter(|(_, bands)| bands.len() > 1) {
            assert!(bands.iter().map(|band| band.from_year).eq(first_years), "{element}");
            for (band, letter) in bands.iter().zip('A'..='L') {
                assert!(band.description.ends_with(&format!(", band {letter}")), "{element}");
            }
            banded += 1;
        }
        assert_eq!(banded, 16);
    }

    #[test]
    fn figures_lie_within_their_bounds() {
        let form = Regex::new("^[a-z0-9][a-z0-9_-]{0,63}$").unwrap();
        for row in read().unwrap() {
            assert!(form.is_match(&row.element), "{}", row.element);
            assert!((0.0..=10.0).contains(&row.u_value_w_m2k), "{}", row.element);
            assert!(row.u_value_w_m2k > 0.0 || row.element == "party_wall_solid", "{}", row.element);
            assert!(row.solar_factor.is_none_or(|share| (0.0..=1.0).contains(&share)), "{}", row.element);
            assert!((1..=200).contains(&row.description.len()) && (1..=200).contains(&row.source.len()));
        }
    }

    #[test]
    fn values_are_those_of_the_tables() {
        let rows = read().unwrap();
        for (element, year, u_value_w_m2k) in [
            ("solid_brick_wall", 1890, 2.10),
            ("solid_wall_insulated_50", 1985, 0.35),
            ("solid_wall_insulated_100", 2020, 0.14),
            ("cavity_wall", 1899, 2.10),
            ("cavity_wall", 1900, 1.60),
            ("cavity_wall", 1970, 1.60),
            ("cavity_wall_filled", 1982, 0.40),
            ("cavity_wall_filled_insulated_50", 1970, 0.31),
            ("timber_frame_wall", 1960, 1.00),
            ("timber_frame_wall_insulated", 1920, 0.55),
            ("system_built_wall", 1955, 2.00),
            ("cob_wall", 1850, 0.80),
            ("party_wall_cavity", 1995, 0.50),
            ("party_wall_solid", 1995, 0.0),
            ("flat_roof", 1978, 0.68),
            ("pitched_roof_loft_0", 1900, 2.30),
            ("pitched_roof_loft_100", 1900, 0.40),
            ("pitched_roof_loft_270", 2010, 0.16),
            ("exposed_floor", 1983, 1.20),
            ("exposed_floor", 1991, 0.51),
            ("exposed_floor_insulated_100", 2005, 0.25),
            ("exposed_floor_insulated_150", 2005, 0.22),
            ("external_door", 2006, 3.0),
            ("external_door", 2009, 2.0),
            ("external_door", 2012, 1.8),
            ("single_glazed_window", 1970, 4.8),
            ("secondary_glazed_window", 1970, 2.4),
            ("double_glazed_window", 1995, 2.7),
            ("double_glazed_window_low_e_hard", 2005, 2.0),
            ("double_glazed_window_low_e_soft", 2005, 1.9),
            ("double_glazed_window_argon_low_e", 2010, 1.8),
            ("triple_glazed_window", 2010, 2.0),
            ("triple_glazed_window_low_e", 2015, 1.5),
            ("single_glazed_metal_window", 1935, 5.7),
            ("double_glazed_metal_window", 1985, 3.3),
        ] {
            assert_eq!(find(&rows, element, year).unwrap().u_value_w_m2k, u_value_w_m2k, "{element} of {year}");
        }
        assert!(find(&rows, "cavity_wall", 10_000).is_none());
        assert!(find(&rows, "glass_wall", 1970).is_none());
    }

    #[test]
    fn more_insulation_in_a_loft_loses_less() {
        let rows = read().unwrap();
        let lofts = [0, 12, 25, 50, 75, 100, 150, 200, 250, 270, 300, 350, 400];
        let loft = |mm: i32| find(&rows, &format!("pitched_roof_loft_{mm}"), 1970).unwrap().u_value_w_m2k;
        assert!(lofts.map(loft).is_sorted_by(|a, b| a > b));
    }

    #[test]
    fn insulated_elements_lose_no_more_than_those_as_built() {
        let rows = read().unwrap();
        let lineages: [&[&str]; 4] = [
            &["solid_brick_wall", "solid_wall_insulated_50", "solid_wall_insulated_100"],
            &["cavity_wall", "cavity_wall_filled"],
            &["timber_frame_wall", "timber_frame_wall_insulated"],
            &[
                "exposed_floor",
                "exposed_floor_insulated_50",
                "exposed_floor_insulated_100",
                "exposed_floor_insulated_150",
            ],
        ];
        for lineage in lineages {
            for year in [1890, 1910, 1940, 1960, 1970, 1980, 1985, 1993, 2000, 2004, 2010, 2020] {
                let u_value_w_m2k = |element: &&str| find(&rows, element, year).unwrap().u_value_w_m2k;
                assert!(lineage.is_sorted_by(|a, b| u_value_w_m2k(a) >= u_value_w_m2k(b)), "{lineage:?} of {year}");
            }
        }
    }

    #[test]
    fn a_solar_factor_may_be_left_out() {
        let file = DataFile {
            name: "x.csv",
            text: "element,description,part,from_year,until_year,u_value_w_m2k,solar_factor,source,confidence\n\
                   a,one,window,0,9999,1.5,0.6,x,invented\nb,other,door,0,9999,3.0,,x,invented\n",
        };
        let rows: Vec<TypicalUValue> = rows::typed(file).unwrap();
        assert_eq!((rows[0].solar_factor, rows[1].solar_factor), (Some(0.6), None));
        assert_eq!((rows[0].part, rows[1].part), (TypicalPart::Window, TypicalPart::Door));
    }
}
