//! Names of figures as people read them: the unit stands in the name's ending.

/// Endings of names with the unit that each stands for, longer ones before those that they end in.
const UNITS: [(&str, &str); 36] = [
    ("_wh_m3k", "Wh/(m³K)"),
    ("_w_m2k", "W/(m²K)"),
    ("_m2k_w", "m²K/W"),
    ("_mm2_m", "mm²/m"),
    ("_per_kwh", "a kWh"),
    ("_percent", "%"),
    ("_w_m2", "W/m²"),
    ("_w_mk", "W/(mK)"),
    ("_per_h", "1/h"),
    ("_m3_h", "m³/h"),
    ("_l_min", "l/min"),
    ("_years", "years"),
    ("_l_h", "l/h"),
    ("_m_s", "m/s"),
    ("_pa_m", "Pa/m"),
    ("_kwh", "kWh"),
    ("_kpa", "kPa"),
    ("_bar", "bar"),
    ("_days", "days"),
    ("_kg_s", "kg/s"),
    ("_kg", "kg"),
    ("_kw", "kW"),
    ("_mm", "mm"),
    ("_m2", "m²"),
    ("_m3", "m³"),
    ("_pa", "Pa"),
    ("_db", "dB"),
    ("_wh", "Wh"),
    ("_hz", "Hz"),
    ("_deg", "°"),
    ("_m", "m"),
    ("_w", "W"),
    ("_l", "l"),
    ("_k", "K"),
    ("_c", "°C"),
    ("_h", "h"),
];

/// What a figure is called, and its unit: `cover_m` is "cover" in "m". A name that ends in no unit has an empty one.
#[must_use]
pub fn words_and_unit(name: &str) -> (String, &'static str) {
    let found = UNITS.iter().find(|(ending, _)| name.ends_with(ending));
    let (stem, unit) = found.map_or((name, ""), |(ending, unit)| (&name[..name.len() - ending.len()], *unit));
    (stem.replace('_', " "), unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_end_in_their_units() {
        for (name, words, unit) in [
            ("inside_design_c", "inside design", "°C"),
            ("allowance_w_m2k", "allowance", "W/(m²K)"),
            ("air_changes_per_h", "air changes", "1/h"),
            ("tail_m", "tail", "m"),
            ("binder", "binder", ""),
        ] {
            assert_eq!(words_and_unit(name), (words.to_owned(), unit), "{name}");
        }
    }

    #[test]
    fn no_ending_hides_a_longer_one() {
        for (at, (ending, _)) in UNITS.iter().enumerate() {
            assert!(UNITS[..at].iter().all(|(before, _)| !ending.ends_with(before)), "{ending}");
        }
    }
}
