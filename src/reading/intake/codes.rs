//! Codes of the faults of a document: one list, which is their part of the register.

use std::borrow::Cow;

/// Declares codes with what they mean.
#[macro_export]
macro_rules! codes {
    ($(#[doc = $about:literal])+ pub enum $name:ident { $(#[doc = $meaning:literal] $code:literal $variant:ident,)+ }) => {
        $(#[doc = $about])+
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name {
            $(#[doc = $meaning] $variant,)+
        }

        impl $name {
            /// All of them.
            pub const ALL: &[Self] = &[$(Self::$variant),+];

            /// Its stable name, in snake case.
            #[must_use]
            pub fn code(self) -> &'static str {
                match self {
                    $(Self::$variant => $code,)+
                }
            }

            /// What it means.
            #[must_use]
            pub fn meaning(self) -> &'static str {
                match self {
                    $(Self::$variant => $meaning.trim_ascii(),)+
                }
            }
        }
    };
}

impl From<FaultCode> for Cow<'static, str> {
    fn from(code: FaultCode) -> Self {
        Cow::Borrowed(code.code())
    }
}

codes! {
    /// The code of a fault of a document.
    pub enum FaultCode {
        /// The text is not JSON.
        "not_json" NotJson,
        /// The text is not UTF-8.
        "not_utf8" NotUtf8,
        /// Objects and lists are nested too deep.
        "too_deep" TooDeep,
        /// A key stands twice in one object.
        "duplicate_key" DuplicateKey,
        /// A value cannot be read though its form is right.
        "unreadable_value" UnreadableValue,
        /// Text, number, list or object where another kind of value belongs.
        "wrong_type" WrongType,
        /// A member that is needed is missing; the pointer is that of the object that lacks it.
        "missing_field" MissingField,
        /// A member that there is none of; the nearest is named.
        "unknown_field" UnknownField,
        /// A word that is none of the choices; the nearest is named.
        "unknown_choice" UnknownChoice,
        /// An id that does not have the form of ids.
        "bad_id" BadId,
        /// A text that does not have the form that is asked for.
        "wrong_form" WrongForm,
        /// A text holds a character that steers a terminal or turns the direction of writing.
        "control_character" ControlCharacter,
        /// A text that is no date.
        "not_a_date" NotADate,
        /// A number that is not whole.
        "not_whole" NotWhole,
        /// A number below its least, or no more than what it must be more than.
        "too_small" TooSmall,
        /// A number above its greatest, or an amount beyond what money can hold.
        "too_large" TooLarge,
        /// An amount with more than two decimals.
        "too_fine" TooFine,
        /// The document says that it is of another form than this service reads; nothing else of it is looked at.
        "other_schema" OtherSchema,
        /// A text or a list that is too short.
        "too_few" TooFew,
        /// A text or a list that is too long.
        "too_many" TooMany,
        /// There are more faults than are told.
        "more_faults" MoreFaults,
        /// Openings take more than their surface.
        "openings_too_large" OpeningsTooLarge,
        /// A perimeter that cannot enclose its area.
        "perimeter_too_short" PerimeterTooShort,
        /// A quote ends before its date.
        "valid_before_quote" ValidBeforeQuote,
        /// A room has a second heated floor.
        "second_heated_floor" SecondHeatedFloor,
        /// An edge zone takes more than what is heated.
        "edge_zone_too_large" EdgeZoneTooLarge,
        /// An edge zone is more than a strip along all the walls.
        "edge_zone_too_wide" EdgeZoneTooWide,
        /// Nothing of a floor is left to be heated.
        "heated_floor_without_area" HeatedFloorWithoutArea,
        /// Mechanical ventilation does not say how it leaks.
        "infiltration_missing" InfiltrationMissing,
        /// Mechanical ventilation says in two ways how it leaks.
        "infiltration_told_twice" InfiltrationToldTwice,
        /// A slab is narrower than its walls are thick.
        "slab_too_narrow" SlabTooNarrow,
        /// A correction names a layer that there is not.
        "no_such_layer" NoSuchLayer,
        /// A construction has a second tapered layer.
        "second_tapered_layer" SecondTaperedLayer,
        /// A taper does not grow from its least to its greatest thickness.
        "taper_does_not_grow" TaperDoesNotGrow,
        /// A layer is both tapered and bridged.
        "tapered_and_bridged" TaperedAndBridged,
        /// A tapered layer is corrected.
        "tapered_and_corrected" TaperedAndCorrected,
        /// A layer in the ground is tapered.
        "tapered_in_the_ground" TaperedInTheGround,
        /// More layers are bridged than can be combined.
        "too_many_bridged_layers" TooManyBridgedLayers,
        /// A window is all frame.
        "frame_without_glass" FrameWithoutGlass,
        /// A tube is to be kept where none lies.
        "nothing_to_keep" NothingToKeep,
        /// A tube that lies there is told by its size and by readings.
        "tube_known_twice" TubeKnownTwice,
        /// An end is neither one emitter nor one manifold.
        "serves_unclear" ServesUnclear,
        /// Shares do not make a whole.
        "shares_do_not_add_up" SharesDoNotAddUp,
        /// There is no such climate station.
        "unknown_station" UnknownStation,
        /// There is no such construction.
        "unknown_construction" UnknownConstruction,
        /// There is no such typical element, or none for the year.
        "unknown_element" UnknownElement,
        /// There is no such material.
        "unknown_material" UnknownMaterial,
        /// There is no such unheated space.
        "unknown_space" UnknownSpace,
        /// There is no such room.
        "unknown_room" UnknownRoom,
        /// A room is said to be heated from itself.
        "heated_from_itself" HeatedFromItself,
        /// Rooms are said to be heated from one another in a circle.
        "heated_in_a_circle" HeatedInACircle,
        /// The room that another is said to be heated from has no emitters.
        "heats_nothing" HeatsNothing,
        /// A room with emitters of its own is said to be heated from another.
        "heated_twice" HeatedTwice,
        /// There is no such emitter.
        "unknown_emitter" UnknownEmitter,
        /// There is no such manifold.
        "unknown_manifold" UnknownManifold,
        /// There is no such run.
        "unknown_run" UnknownRun,
        /// The price book has no such product of that kind.
        "unknown_product" UnknownProduct,
        /// No tube of the price book has an outside diameter that was seen.
        "unknown_tube_size" UnknownTubeSize,
        /// The job has nothing at a place that is named.
        "unknown_place" UnknownPlace,
        /// There is no such rule in this nation.
        "unknown_rule" UnknownRule,
        /// A supply that the job does not describe.
        "unknown_supply" UnknownSupply,
        /// A supply that nothing in the bill belongs to.
        "unused_supply" UnusedSupply,
        /// There is no rule for a date.
        "no_rule" NoRule,
        /// A rule does not give what is asked of it.
        "wrong_rule" WrongRule,
        /// A grant is no amount of money.
        "odd_rule" OddRule,
        /// Rows of a price book do not agree.
        "price_book_inconsistent" PriceBookInconsistent,
        /// A construction in a part of a room that it is not made for.
        "wrong_part" WrongPart,
        /// An opening in the ground, or a construction for the ground as an opening.
        "opening_in_the_ground" OpeningInTheGround,
        /// A construction that does not lie on the ground faces it.
        "on_the_ground" OnTheGround,
        /// A construction for the ground faces something else.
        "off_the_ground" OffTheGround,
        /// A surface faces, or air is taken from, the room that it belongs to.
        "faces_itself" FacesItself,
        /// Two rooms declare one partition differently.
        "partition_disagrees" PartitionDisagrees,
        /// A layer that names no thickness is bridged by a conductivity.
        "bridge_without_thickness" BridgeWithoutThickness,
        /// Fixings by their section pass through a layer that names no thickness.
        "fixings_without_thickness" FixingsWithoutThickness,
        /// Thermal bridges have nothing to be shared out over.
        "nothing_exposed" NothingExposed,
        /// Air permeability without a surface that bounds the dwelling.
        "no_envelope" NoEnvelope,
        /// A room is no warmer than it is outside.
        "room_not_warmer_than_outside" RoomNotWarmerThanOutside,
        /// More draws than are computed.
        "too_many_draws" TooManyDraws,
        /// A least above its greatest.
        "bounds_upside_down" BoundsUpsideDown,
        /// Something stands twice in a list.
        "named_twice" NamedTwice,
        /// An id that is taken by the program.
        "reserved_id" ReservedId,
        /// A valve that is part of a way lets less through when open than the whole way.
        "open_valve_too_narrow" OpenValveTooNarrow,
        /// Two runs serve one end.
        "served_twice" ServedTwice,
        /// Runs lead in a circle.
        "circular_run" CircularRun,
        /// A run serves a heated floor, which hangs on its manifold.
        "floor_without_manifold" FloorWithoutManifold,
        /// A part is longer than its whole.
        "longer_than_its_whole" LongerThanItsWhole,
        /// Antifreeze and freeze-protection valves together.
        "both_freeze_protections" BothFreezeProtections,
        /// Operating points of a heat source do not make a grid.
        "incomplete_grid" IncompleteGrid,
        /// The points of a pump's curve are out of order.
        "pump_out_of_order" PumpOutOfOrder,
        /// A heated floor, and no manifold.
        "no_manifold" NoManifold,
        /// A heated floor without a screed that its kind needs.
        "screed_missing" ScreedMissing,
        /// A screed on boards that are tested without one.
        "screed_on_dry_boards" ScreedOnDryBoards,
        /// A screed by its cover and by its whole thickness.
        "two_thicknesses" TwoThicknesses,
        /// A screed that does not cover its pipe.
        "pipe_thicker_than_screed" PipeThickerThanScreed,
        /// A pipe that lies on boards or under plates is given a height in the screed.
        "no_screed_under_pipe" NoScreedUnderPipe,
        /// A heated floor over outside air has less insulation below than the standard asks for.
        "insulation_missing" InsulationMissing,
        /// Conduction is asked for where it is not solved.
        "conduction_not_solved" ConductionNotSolved,
        /// The worst covering has less resistance than the one designed for.
        "worst_is_not_worse" WorstIsNotWorse,
        /// A floor may be no warmer than its room.
        "surface_limit_below_room" SurfaceLimitBelowRoom,
        /// A cooled floor may be no colder than its room.
        "surface_limit_above_room" SurfaceLimitAboveRoom,
        /// Two tails leave nothing of a loop.
        "tails_too_long" TailsTooLong,
        /// Tails are shorter than the rooms that they pass.
        "tail_shorter_than_its_way" TailShorterThanItsWay,
        /// A floor's tails pass through its own room.
        "passes_through_itself" PassesThroughItself,
        /// Cooling without a heated floor that could cool.
        "no_floor_to_cool" NoFloorToCool,
        /// Water comes back from cooling no colder than the rooms.
        "cooling_too_warm" CoolingTooWarm,
        /// A dwelling that lies on one level is said to have more storeys.
        "too_many_storeys" TooManyStoreys,
        /// The storey of a flat is told of a dwelling that is none.
        "storey_of_a_house" StoreyOfAHouse,
        /// A boiler on mains gas where no mains gas is.
        "boiler_without_gas" BoilerWithoutGas,
        /// Pipes are to stay of a heating that has none.
        "no_pipes_to_keep" NoPipesToKeep,
        /// A grant is wanted and the date that it goes by is not told.
        "grant_without_date" GrantWithoutDate,
        /// The typology has no dwelling that describes this one.
        "not_described" NotDescribed,
        /// A least flow beside a flow rule that sets exactly what is needed.
        "least_flow_by_load" LeastFlowByLoad,
        /// A heat source whose least flow is above what its own pump gives.
        "least_flow_above_pump" LeastFlowAbovePump,
        /// A method does not hold for these figures.
        "not_computable" NotComputable,
        /// The answer takes more work than a question is granted.
        "too_much_work" TooMuchWork,
        /// A date beyond the end of the calendar.
        "beyond_calendar" BeyondCalendar,
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn no_code_stands_twice_and_each_has_a_meaning() {
        let codes: BTreeSet<&str> = FaultCode::ALL.iter().map(|code| code.code()).collect();
        let meanings: BTreeSet<&str> = FaultCode::ALL.iter().map(|code| code.meaning()).collect();
        assert_eq!((codes.len(), meanings.len()), (FaultCode::ALL.len(), FaultCode::ALL.len()));
        assert!(meanings.iter().all(|meaning| meaning.ends_with('.') && meaning.len() > 10));
    }
}
