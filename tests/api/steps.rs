//! Steps of what would lower the flow next, made in a job as its reader would.

use super::figures::number;
use serde_json::{Value, json};

/// Makes a step in a job, with just the room for what it names.
pub fn make(job: &mut Value, step: &Value) {
    let [room, emitter] = ["room", "emitter"].map(|member| step[member].as_str().unwrap());
    let emitters = &mut job["rooms"][room]["emitters"];
    match step["change"].as_str().unwrap() {
        "larger_radiator" | "larger_fan_convector" | "replaced_radiator" => {
            if step["change"] == "replaced_radiator" {
                emitters[emitter]["existing"]["keep"] = json!("if_enough");
            }
            // "…: 700 mm high where 600 mm fit, 2000 mm long where 1600 mm fit"
            let sides = step["detail"].as_str().unwrap().rsplit_once(": ").map_or("", |(_, sides)| sides);
            for side in sides.split(", ").filter(|side| !side.is_empty()) {
                let words: Vec<&str> = side.split(' ').collect();
                let limit = match words[2] {
                    "high" => "height_max_mm",
                    "long" => "length_max_mm",
                    "deep" => "depth_max_mm",
                    other => panic!("{other}"),
                };
                let fit_mm: f64 = words[4].parse().unwrap();
                // limits are told in whole millimetres
                assert!((number(&emitters[emitter]["fit"][limit]) - fit_mm).abs() < 0.5 + 1e-9, "{side}");
                emitters[emitter]["fit"][limit] = json!(words[0].parse::<f64>().unwrap());
            }
        }
        "louder_fan_convector" => emitters[emitter]["sound_max_db"] = step["sound_max_db"].clone(),
        "radiator_as_rated" => {
            for member in ["connection", "finish", "enclosure_factor"] {
                emitters[emitter].as_object_mut().unwrap().remove(member);
            }
        }
        "radiator_beside" => emitters["beside"] = json!({"kind": "radiator"}),
        "radiator_hung" => emitters["radiator"] = json!({"kind": "radiator"}),
        "closer_spacing" => emitters[emitter]["spacings_mm"].as_array_mut().unwrap().push(step["spacing_mm"].clone()),
        "thinner_covering" => {
            let thickness_mm = 1000.0 * number(&step["resistance_m2k_w"]);
            emitters[emitter]["covering"] = json!({"thickness_mm": thickness_mm, "conductivity_w_mk": 1.0});
        }
        "share_moved" => {
            for (emitter, share) in [(emitter, "share"), (step["to_emitter"].as_str().unwrap(), "to_share")] {
                if let Some(share) = step.get(share) {
                    emitters[emitter]["share"] = share.clone();
                }
            }
        }
        other => panic!("{other}"),
    }
}
