//! The codes of all faults in estate files. Each is explained in `docs/faults.md`; none is reused.

macro_rules! codes {
    ($($name:ident = $code:literal, $title:literal;)*) => {
        $(#[doc = $title] pub const $name: &str = $code;)*

        /// Every code with what it stands for, in order.
        pub const ALL: &[(&str, &str)] = &[$(($code, $title)),*];
    };
}

codes! {
    NOT_TEXT = "E001", "The file, or a cell of it, is not UTF-8 text.";
    TOML = "E002", "The file is not well-formed TOML.";
    CSV = "E003", "The rows are not well-formed CSV.";
    HEADINGS = "E004", "The heading row is missing, or names a column twice.";
    NO_FILE = "E005", "A file that must be there is missing.";
    OTHER_FILE = "E006", "A file whose name is not known, but nearly.";
    UNKNOWN_FIELD = "E010", "There is no such field or column.";
    MISSING = "E011", "A field that must be there is missing or empty.";
    WRONG_SORT = "E012", "The value is of the wrong sort.";
    BAD_KEY = "E013", "The text cannot be a key.";
    TWICE = "E014", "The same key twice.";
    BAD_TEXT = "E015", "The words hold control characters, or are too long.";
    NOT_A_CHOICE = "E016", "The word is not one of those that may stand here.";
    QUANTITY = "E020", "The quantity cannot be read.";
    WHICH_UNIT = "E021", "The unit could be several.";
    WRONG_UNIT = "E022", "The unit is of the wrong sort.";
    NO_PERCENT = "E023", "The percent cannot be read.";
    OUT_OF_RANGE = "E024", "The value is outside what can be.";
    NUMBER = "E025", "The number cannot be read.";
    DRAW = "E026", "The draw cannot be read.";
    ZONE = "E030", "There is no such time zone.";
    CURRENCY = "E031", "The currency cannot be read.";
    COST = "E032", "The cost cannot be read.";
    DENSITY = "E033", "The density cannot be read.";
    LIFE = "E034", "The life of a part cannot be read.";
    TURNS = "E035", "The turns of a screw cannot be read.";
    PIECES = "E036", "The list of measures cannot be read.";
    TUBING = "E037", "A measure of the tubes cannot be read.";
    TUBES = "E038", "As many lengths as bores are needed.";
    UNKNOWN_OWNER = "E040", "There is no such owner.";
    UNKNOWN_FAMILY = "E041", "There is no such family.";
    UNKNOWN_PRODUCT = "E042", "There is no such product.";
    UNKNOWN_MEASURE_KIND = "E043", "There is no such kind of measure.";
    UNKNOWN_MEASURE = "E044", "There is no such measure at the site.";
    UNKNOWN_SITE = "E045", "There is no such site.";
    UNKNOWN_MACHINE = "E046", "There is no such machine at the site.";
    TARGET_UNIT = "E050", "The target's unit does not fit the metering.";
    DRAW_UNIT = "E051", "The draw does not fit the metering.";
    NO_WATER = "E052", "A ratio line without its water.";
    WATER_TOO = "E053", "Water on a line that is no ratio line.";
    NO_PANEL = "E054", "A setting that the adjuster cannot have.";
    OTHER_KIND = "E055", "A field that does not go with the kind.";
    SERIAL_TWICE = "E056", "Two machines with one serial number.";
    RETIRED_USE = "E057", "Something in use needs something retired.";
    OTHER_TUBES = "E058", "A line's tubes do not fit those of its family.";
    PROFILE = "E060", "The profile cannot be read.";
    UNKNOWN_PROFILE = "E061", "There is no such profile.";
}
