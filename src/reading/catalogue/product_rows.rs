//! The shipped products, from their CSV files.

use indexmap::IndexMap;
use serde_json::{Map, Value, json};

use super::error::CatalogueError;
use super::products::{Product, Products};
use super::provenance::Provenance;
use super::rows::{self, DataFile, ObjectRow, data_file};

/// Product files, each with the kind of its rows; the last one's rows name their kind themselves.
const FILES: &[(Option<&str>, DataFile)] = &[
    (Some("radiator"), data_file!("radiators.csv")),
    (Some("radiator"), data_file!("towel_rails.csv")),
    (Some("fan_convector"), data_file!("fan_convectors.csv")),
    (Some("manifold"), data_file!("manifolds.csv")),
    (Some("floor_tube"), data_file!("floor_tubes.csv")),
    (Some("floor_board"), data_file!("floor_boards.csv")),
    (Some("conducting_plate"), data_file!("conducting_plates.csv")),
    (Some("insulation_board"), data_file!("insulation_boards.csv")),
    (Some("screed"), data_file!("screeds.csv")),
    (Some("tube"), data_file!("tubes.csv")),
    (Some("pipe_insulation"), data_file!("pipe_insulation.csv")),
    (Some("heat_source"), data_file!("heat_sources.csv")),
    (Some("circulator"), data_file!("circulators.csv")),
    (Some("cylinder"), data_file!("cylinders.csv")),
    (Some("buffer_vessel"), data_file!("buffer_vessels.csv")),
    (Some("expansion_vessel"), data_file!("expansion_vessels.csv")),
    (None, data_file!("sundries.csv")),
];

/// Files of tables within products: the kinds of product that they belong to, and the member that holds the table.
const TABLES: &[(&[&str], &str, DataFile)] = &[
    (&["heat_source"], "points", data_file!("heat_source_points.csv")),
    (&["heat_source"], "pump", data_file!("heat_source_pumps.csv")),
    (&["circulator"], "pump", data_file!("circulator_pumps.csv")),
    (&["fan_convector"], "speeds", data_file!("fan_convector_speeds.csv")),
    (&["fan_convector"], "outputs", data_file!("fan_convector_outputs.csv")),
    (&["floor_board"], "outputs", data_file!("floor_board_outputs.csv")),
    (&["radiator_valves", "manifold"], "presets", data_file!("valve_presets.csv")),
];

/// The rows of a table, by the code of their product.
type Table = IndexMap<String, Vec<Value>>;

/// Every shipped product, and where each row comes from.
pub(super) fn read() -> Result<(Products, IndexMap<String, Provenance>), CatalogueError> {
    let mut tables: Vec<Table> = TABLES.iter().map(|(.., file)| table(*file)).collect::<Result<_, _>>()?;
    let (mut products, mut provenance) = (IndexMap::new(), IndexMap::new());
    for (kind, file) in FILES {
        for ObjectRow { line, mut members } in rows::objects(*file)? {
            let broken = |detail: String| CatalogueError::Line { file: file.name, line, detail };
            let code = match members.shift_remove("code") {
                Some(Value::String(code)) if !products.contains_key(&code) => code,
                Some(code) => return Err(broken(format!("{code} stands twice"))),
                None => return Err(broken("a product without a code".to_owned())),
            };
            if let Some(kind) = kind {
                members.insert("kind".to_owned(), json!(kind));
            }
            let kind = members.get("kind").and_then(Value::as_str).unwrap_or_default().to_owned();
            for ((kinds, member, _), table) in TABLES.iter().zip(&mut tables) {
                if let Some(rows) = table.get(&code).filter(|_| kinds.contains(&kind.as_str())) {
                    members.insert((*member).to_owned(), json!(rows));
                    table.shift_remove(&code);
                }
            }
            let origin = origin(&mut members).map_err(|error| broken(error.to_string()))?;
            let product: Product =
                serde_json::from_value(Value::Object(members)).map_err(|error| broken(error.to_string()))?;
            provenance.insert(code.clone(), origin);
            products.insert(code, product);
        }
    }
    for ((kinds, _, file), table) in TABLES.iter().zip(tables) {
        if let Some(code) = table.keys().next() {
            let detail = format!("{code} is not a {}", kinds.join(" or "));
            return Err(CatalogueError::File { file: file.name, detail });
        }
    }
    Ok((products.into_iter().collect(), provenance))
}

/// A table's rows, each without the columns that say whose it is and where it is from.
fn table(file: DataFile) -> Result<Table, CatalogueError> {
    let mut table = Table::new();
    for ObjectRow { line, mut members } in rows::objects(file)? {
        let broken = |detail: String| CatalogueError::Line { file: file.name, line, detail };
        let Some(Value::String(code)) = members.shift_remove("code") else {
            return Err(broken("a row without a code".to_owned()));
        };
        origin(&mut members).map_err(|error| broken(error.to_string()))?;
        table.entry(code).or_default().push(Value::Object(members));
    }
    Ok(table)
}

/// Takes the columns that say where a row is from.
fn origin(members: &mut Map<String, Value>) -> Result<Provenance, serde_json::Error> {
    let columns = ["source", "confidence"].into_iter();
    let taken = columns.filter_map(|column| Some((column.to_owned(), members.shift_remove(column)?)));
    serde_json::from_value(Value::Object(taken.collect()))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;

    fn shipped() -> Products {
        read().unwrap().0
    }

    /// Length in mm, rated output in W and price in pennies of a radiator.
    type Size = (f64, f64, i64);

    /// Radiators by type and height, shortest first.
    fn radiators() -> BTreeMap<(String, u64), Vec<Size>> {
        let mut ranges: BTreeMap<_, Vec<_>> = BTreeMap::new();
        for (code, product) in shipped() {
            if let Product::Radiator { height_mm, length_mm, output_w, unit_cost, .. } = product {
                let [kind, height, length] = code.split(['_', 'x']).collect::<Vec<_>>().try_into().unwrap();
                let sizes_mm: [f64; 2] = [height, length].map(|text| text.parse().unwrap());
                assert_eq!(sizes_mm, [height_mm, length_mm], "{code}");
                let row = (length_mm, output_w, unit_cost.pennies().unwrap());
                ranges.entry((kind.to_owned(), height.parse().unwrap())).or_default().push(row);
            }
        }
        for range in ranges.values_mut() {
            range.sort_by(|a, b| a.0.total_cmp(&b.0));
        }
        ranges
    }

    #[test]
    fn every_kind_is_shipped_and_every_id_is_an_id() {
        let (products, provenance) = read().unwrap();
        for kind in Product::KINDS {
            assert!(products.values().any(|product| product.kind() == *kind), "{kind}");
        }
        for (code, product) in &products {
            let mut bytes = code.bytes();
            let first = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit();
            assert!(bytes.next().is_some_and(first) && bytes.all(|b| first(b) || b == b'_' || b == b'-'), "{code}");
            assert!(code.len() <= 64 && product.unit_cost() > crate::money::Money::ZERO, "{code}");
            assert_eq!(product.problems(), [], "{code}");
        }
        assert!(products.keys().eq(provenance.keys()));
    }

    #[test]
    fn longer_radiators_give_more_and_cost_more_at_one_output_per_metre() {
        for (range, rows) in radiators() {
            for (a, b) in rows.iter().zip(rows.iter().skip(1)) {
                assert!(a.0 < b.0 && a.1 < b.1 && a.2 < b.2, "{range:?}");
                assert!((a.1 / a.0 / (b.1 / b.0) - 1.0).abs() < 0.003, "{range:?}");
            }
        }
    }

    #[test]
    fn panel_radiators_are_a_whole_range() {
        let ranges = radiators();
        for kind in ["p11", "p21", "p22", "p33"] {
            for height_mm in [300, 450, 600, 700] {
                let rows = &ranges[&(kind.to_owned(), height_mm)];
                assert_eq!((rows.len(), rows[0].0, rows[12].0), (13, 400.0, 2000.0), "{kind} {height_mm}");
            }
        }
        for (code, product) in shipped() {
            let Product::Radiator { exponent, towel_rail, .. } = product else { continue };
            assert_eq!(towel_rail == Some(true), code.starts_with("tr_"), "{code}");
            assert!((1.2..=1.35).contains(&exponent), "{code}: {exponent}");
        }
    }

    #[test]
    fn fan_convectors_move_more_air_and_are_louder_as_they_turn_faster() {
        for (code, product) in shipped() {
            let Product::FanConvector { speeds, .. } = product else { continue };
            let louder = speeds.is_sorted_by(|a, b| a.air_m3_h < b.air_m3_h && a.sound_db < b.sound_db);
            assert!(louder && speeds.len() == 3, "{code}");
        }
    }

    #[test]
    fn taller_and_thicker_radiators_give_more_per_metre() {
        let ranges = radiators();
        let per_metre = |rows: &[Size]| rows[0].1 / rows[0].0;
        for ((kind, height_mm), rows) in &ranges {
            for ((other_kind, other_mm), other) in &ranges {
                let grows =
                    (kind == other_kind && height_mm < other_mm) || (kind < other_kind && height_mm == other_mm);
                assert!(!grows || per_metre(rows) < per_metre(other), "{kind} {height_mm}, {other_kind} {other_mm}");
            }
        }
    }

    #[test]
    fn copper_bores_are_those_of_en_1057() {
        // EN 1057 half-hard sizes: outside diameter and wall, mm.
        let sizes = [
            ("cu_10", 10.0, 0.6),
            ("cu_15", 15.0, 0.7),
            ("cu_22", 22.0, 0.9),
            ("cu_28", 28.0, 0.9),
            ("cu_35", 35.0, 1.2),
        ];
        let products = shipped();
        for (code, outside_mm, thickness_mm) in sizes {
            let Some(Product::Tube { outside_diameter_mm, wall_mm, bore_mm, .. }) = products.get(code) else {
                panic!("{code}");
            };
            assert_eq!((*outside_diameter_mm, *wall_mm), (outside_mm, thickness_mm), "{code}");
            assert!((bore_mm - (outside_mm - 2.0 * thickness_mm)).abs() < 1e-9, "{code}");
        }
    }

    /// COP of the 10th and the 90th of a hundred units on sale, by outside and flow temperature: hplib 1.9, 366
    /// anonymous air-to-water types. The band is wide: it shows that an invented unit is of the order of real ones.
    const COP_BAND: [(f64, f64, f64, f64); 15] = [
        (-15.0, 35.0, 1.555, 2.9182),
        (-15.0, 45.0, 1.2151, 2.3054),
        (-15.0, 55.0, 0.89911, 1.8225),
        (-7.0, 35.0, 2.4696, 3.2919),
        (-7.0, 45.0, 2.0839, 2.6441),
        (-7.0, 55.0, 1.6804, 2.1374),
        (2.0, 35.0, 3.502, 4.1296),
        (2.0, 45.0, 2.817, 3.4177),
        (2.0, 55.0, 2.1662, 2.9174),
        (7.0, 35.0, 4.0462, 4.8253),
        (7.0, 45.0, 3.1647, 3.9946),
        (7.0, 55.0, 2.4378, 3.4778),
        (12.0, 35.0, 4.6666, 5.7602),
        (12.0, 45.0, 3.5473, 4.6576),
        (12.0, 55.0, 2.6738, 4.0668),
    ];

    #[test]
    fn heat_sources_are_of_the_order_of_real_ones() {
        for (code, product) in shipped() {
            let Product::HeatSource { points, .. } = product else { continue };
            assert_eq!(points.len(), COP_BAND.len(), "{code}");
            for (point, (outside_c, flow_c, low, high)) in points.iter().zip(COP_BAND) {
                assert_eq!((point.outside_c, point.flow_c), (outside_c, flow_c), "{code}");
                let carnot = (flow_c + 273.15) / (flow_c - outside_c);
                assert!(point.cop >= 1.0 && point.cop < carnot, "{code} {point:?}");
                assert!((low..=high).contains(&point.cop), "{code} {point:?}");
            }
        }
    }

    #[test]
    fn heat_sources_weaken_with_cold_and_with_hotter_flow() {
        for (code, product) in shipped() {
            let Product::HeatSource { points, .. } = product else { continue };
            for a in &points {
                for b in &points {
                    let harder = (a.outside_c <= b.outside_c && a.flow_c >= b.flow_c) && a != b;
                    assert!(!harder || (a.capacity_w < b.capacity_w && a.cop < b.cop), "{code}: {a:?}, {b:?}");
                    let hotter = a.outside_c == b.outside_c && a.flow_c > b.flow_c;
                    assert!(!hotter || a.capacity_w / a.cop > b.capacity_w / b.cop, "{code}: {a:?}, {b:?}");
                }
            }
        }
    }

    #[test]
    fn larger_sizes_cost_more() {
        let products = shipped();
        for prefix in
            ["cu_", "ml_", "pex_", "pb_", "steel_", "floor_tube_", "manifold_", "hs_", "cyl_", "vessel_", "buffer_"]
        {
            // of a tube in several lengths of coil the one that is called by its size alone
            let own = products.iter().filter(|(code, _)| code.starts_with(prefix) && !is_other_coil(code));
            let cost = |product: &Product| {
                let pack = if let Product::Tube { pack_m, .. } | Product::FloorTube { pack_m, .. } = product {
                    *pack_m
                } else {
                    1.0
                };
                product.unit_cost().to_string().parse::<f64>().unwrap() / pack
            };
            let costs: Vec<_> = own.map(|(_, product)| cost(product)).collect();
            assert!(costs.len() >= 3 && costs.is_sorted_by(|a, b| a < b), "{prefix} {costs:?}");
        }
    }

    fn is_other_coil(code: &str) -> bool {
        ["_100", "_500"].iter().any(|coil| code.starts_with("floor_tube_") && code.ends_with(coil))
    }

    #[test]
    fn longer_coils_of_one_tube_cost_less_by_the_metre() {
        let book = crate::catalogue::Catalogue::try_built_in().unwrap().price_book.clone();
        let (tube, _) = book.find("floor_tube_16").unwrap();
        let coils = book.coils_of(tube);
        let per_m: Vec<(f64, f64)> = coils
            .into_iter()
            .filter_map(|coil| {
                let Product::FloorTube { pack_m, unit_cost, .. } = book.product(coil).1 else { return None };
                Some((*pack_m, unit_cost.as_f64() / pack_m))
            })
            .collect();
        assert!(per_m.len() == 3 && per_m.is_sorted_by(|a, b| a.0 < b.0 && a.1 > b.1), "{per_m:?}");
    }
}
