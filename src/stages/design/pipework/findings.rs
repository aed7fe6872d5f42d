//! What pipes do not meet, and what looks wrong with them.

use super::left_open::OpenWhy;
use super::pipe::{Breaks, Pipe};
use crate::findings;
use crate::survey::{EmitterAt, Survey};

findings! {
    /// Needs that pipes do not meet.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Unmet: Unmet of survey: Survey {
        /// No tube is on offer.
        "no_tube" NoTube { pipe: Pipe }
        at { pipe.at }
        wants (1.0, 0.0, "tubes")
        says ("no pipe is on offer for {name}", name = pipe.name);

        /// A new tube breaks a limit that none on offer keeps.
        "no_tube" BeyondLimit { pipe: Pipe, breaks: Breaks, found: f64, limit: f64 }
        at { pipe.at }
        wants (*limit, *found, breaks.unit())
        says (
            "no pipe on offer carries {name} within its limits: the one taken {does}",
            name = pipe.name,
            does = breaks.words(found, limit, pipe.lies)
        );

        /// A tube that the job wants kept must not stay in use.
        "existing_tube_refused" KeptTube { pipe: Pipe, breaks: Breaks, found: f64, limit: f64 }
        at { pipe.at }
        wants (*limit, *found, breaks.unit())
        says (
            "the pipe that lies in {name} must not stay in use: it {does}",
            name = pipe.name,
            does = breaks.words(found, limit, pipe.lies)
        );

        /// No bore explains the readings of a tube that nobody can see.
        "readings_unexplained" Unexplained { pipe: Pipe }
        at ("{}/readings", pipe.at)
        wants (1.0, 0.0, "bores")
        says (
            "no bore on offer explains the readings of {name} within their spread and the length of its route: what it takes is not in the figures; read it again, or look at the pipe",
            name = pipe.name
        );
    }
}

findings! {
    /// What looks wrong with pipes.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Warning: Warning of survey: Survey {
        /// A tube that stays breaks a limit that can be lived with.
        "kept_tube" KeptTube { pipe: Pipe, breaks: Breaks, found: f64, limit: f64 }
        at ("{}/existing_tube", pipe.at)
        says (
            "the pipe that stays in {name} {does}",
            name = pipe.name,
            does = breaks.words(found, limit, pipe.lies)
        );

        /// Valves of radiators take more pressure than is not heard, as they are set: how many, and the worst.
        "loud_valves" LoudValves { valves: usize, at: EmitterAt, takes_kpa: f64, most_kpa: f64 }
        at "{at}"
        says {
            let valves = if valves == 1 { "one radiator".to_owned() } else { format!("{valves} radiators") };
            format!(
                "as they are set the valves of {valves} take more than {most_kpa} kPa with the radiator, up to {takes_kpa:.1} kPa in room {room}, and may be heard: a larger drop, or wider pipe on the way to the index circuit, takes less",
                room = at.room
            )
        };

        /// What stays open in a room makes it too warm.
        "open_warms_too_far" WarmsTooFar { at: EmitterAt, why: OpenWhy, warms_k: f64, most_k: f64 }
        at "{at}"
        says (
            "nothing throttles {emitter} of room {room} ({why}): in design conditions the room gets {warms_k:.1} K warmer than it is designed for, and {most_k} K are usual; give it a thermostat, or a smaller flow",
            emitter = at.emitter,
            room = at.room
        );

        /// A run crosses joists that are too deep for what is usual.
        "joists_for_engineer" DeepJoists { pipe: Pipe, depth_mm: f64, deepest_mm: f64 }
        at ("{}/crosses_joists", pipe.at)
        says (
            "the joists that {name} crosses are {depth_mm} mm deep: above {deepest_mm} mm an engineer says what holes and notches they bear, and none is cut before",
            name = pipe.name
        );

        /// A run serves nothing and leads to nothing.
        "run_serves_nothing" DeadEnd { pipe: Pipe }
        at { pipe.at }
        says (
            "{name} serves nothing and leads to nothing: water stands in it; name what it serves, or leave it out",
            name = pipe.name
        );
    }
}
