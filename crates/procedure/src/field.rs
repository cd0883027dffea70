//! The fields of a family's and of a procedure's text: one table each. Reading, "did you mean", the JSON Schema and the
//! documentation all come from these tables.

/// One field of a thing.
#[derive(Debug, Clone, Copy)]
pub struct Field {
    /// Its name.
    pub name: &'static str,
    /// Whether it must be there.
    pub must: bool,
    /// What may be written.
    pub shape: Shape,
    /// What it says.
    pub says: &'static str,
    /// An example, as it is written.
    pub example: &'static str,
}

/// What may be written in a field.
#[derive(Debug, Clone, Copy)]
pub enum Shape {
    /// A text.
    Text,
    /// A sentence for each language.
    Words,
    /// A list of texts.
    List,
    /// True or false.
    Flag,
    /// A whole number.
    Number,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// A text by name.
    Texts,
    /// A table with fields of its own.
    Table(&'static [Field]),
    /// A list of tables.
    Tables(&'static [Field]),
    /// Tables by name.
    Named(&'static [Field]),
}

const fn must(
    name: &'static str,
    shape: Shape,
    says: &'static str,
    example: &'static str,
) -> Field {
    Field { name, must: true, shape, says, example }
}

const fn may(name: &'static str, shape: Shape, says: &'static str, example: &'static str) -> Field {
    Field { name, must: false, shape, says, example }
}

/// A wear part of a family.
pub const PART: &[Field] = &[
    must("name", Shape::Words, "what it is called", "name.en = \"valve seal\""),
    must(
        "lubricant",
        Shape::Choice(&["must", "may", "never"]),
        "whether it is lubricated",
        "\"must\"",
    ),
    may("tool", Shape::Text, "what takes it off, by its key in the kit", "\"seal-hook\""),
    may("wetted", Shape::Flag, "whether product touches it", "true"),
    may("shared", Shape::Flag, "whether all lines of the machine share it", "true"),
];

/// A thing of the kit.
pub const KIT: &[Field] = &[
    must("name", Shape::Words, "what it is called", "name.en = \"soft brush\""),
    may(
        "per",
        Shape::Choice(&["machine", "line"]),
        "whether each line has its own; `machine` if left out",
        "\"line\"",
    ),
];

/// A caution.
pub const CAUTION: &[Field] = &[
    must(
        "signal",
        Shape::Choice(&["danger", "warning", "caution", "notice"]),
        "the signal word",
        "\"warning\"",
    ),
    must("hazard", Shape::Words, "what could hurt", "hazard.en = \"Moving rollers.\""),
    must(
        "consequence",
        Shape::Words,
        "what it could do",
        "consequence.en = \"They can crush a finger.\"",
    ),
    must("avoid", Shape::Words, "how to avoid it", "avoid.en = \"Unplug first.\""),
];

/// Steps that several procedures share.
pub const PASSAGE: &[Field] =
    &[must("step", Shape::Tables(STEP), "its steps", "[[passage.open.step]]")];

/// How long a line may be left as it is.
pub const LEAVE: &[Field] = &[
    may("solution", Shape::Text, "with detergent or sanitiser in it", "\"15 min\""),
    may("open", Shape::Text, "with a part off or its cover open", "\"4 h\""),
];

/// A family's line, as its procedures see it.
pub const FAMILY: &[Field] = &[
    must("family", Shape::Text, "the family's key", "\"screw-trim\""),
    must(
        "isolation",
        Shape::Choice(&["plug", "switch", "hard-wired", "none"]),
        "how its power is cut",
        "\"plug\"",
    ),
    must(
        "pressure",
        Shape::Choice(&["stored", "none"]),
        "whether a line holds pressure",
        "\"stored\"",
    ),
    must(
        "cover",
        Shape::Choice(&["line", "machine", "none"]),
        "what must be opened before its parts are reached",
        "\"none\"",
    ),
    must("metering", Shape::Choice(&["rate", "dose", "ratio"]), "what is measured", "\"rate\""),
    must(
        "adjuster",
        Shape::Choice(&["screw", "notches", "number", "percent", "taught", "none"]),
        "how it is set",
        "\"screw\"",
    ),
    may("flush", Shape::Text, "the least run that displaces what a line holds", "\"30 s\""),
    may("adjust_tool", Shape::Text, "what turns the adjuster, by its key in the kit", "\"driver\""),
    may(
        "leave",
        Shape::Table(LEAVE),
        "how long a line may be left as it is; not at all if left out",
        "[leave]",
    ),
    may("parts", Shape::Named(PART), "its wear parts", "[parts.valve-seal]"),
    may("kit", Shape::Named(KIT), "what its procedures may use", "[kit.brush]"),
    may("caution", Shape::Named(CAUTION), "cautions that steps name", "[caution.plug]"),
    may("passage", Shape::Named(PASSAGE), "steps that several procedures share", "[passage.open]"),
];

/// Which text a procedure follows.
pub const MANUAL: &[Field] = &[
    must("edition", Shape::Text, "the manual's edition", "\"2nd edition\""),
    must("page", Shape::Text, "the page that it follows", "\"14\""),
];

/// A step.
pub const STEP: &[Field] = &[
    may("id", Shape::Text, "its key, for answers that lead to it", "\"look-seal\""),
    may(
        "do",
        Shape::Text,
        "what it does: phrases that begin with a verb, parted by `;`",
        "\"feed water; run 45 s\"",
    ),
    may(
        "use",
        Shape::Text,
        "a passage of the family that stands here; nothing else is written then",
        "\"open\"",
    ),
    may("say", Shape::Words, "what the person does", "say.en = \"Run water for 45 seconds.\""),
    may("look_for", Shape::Words, "what to look for", "look_for.en = \"It runs clear.\""),
    may("picture", Shape::Text, "a picture's file name", "\"seal.svg\""),
    may("reads", Shape::List, "readings that are written down", "[\"strength\"]"),
    may(
        "uses",
        Shape::List,
        "readings of this step or one before that it goes by",
        "[\"strength\"]",
    ),
    may("with", Shape::List, "what of the kit it uses beside what its verbs do", "[\"towel\"]"),
    may("cautions", Shape::List, "the cautions that stand before it", "[\"plug\"]"),
    may(
        "time",
        Shape::Text,
        "how long it takes, from a quick hand to a slow one",
        "\"1 to 3 min\"",
    ),
    may(
        "answers",
        Shape::Texts,
        "where each answer leads: a step's id, a stage's, `next`, `leave` for the next stage, or `end`",
        "{ good = \"next\", worn = \"renew\" }",
    ),
    may("then", Shape::Text, "where it leads; to the next if left out", "\"catch\""),
    may("at_most", Shape::Number, "how often it may lead back", "3"),
    may("or_else", Shape::Text, "where it leads after that", "\"out\""),
    may(
        "under",
        Shape::List,
        "food codes under which it is there: drain-no-rinse, drain, rinse; all if left out",
        "[\"rinse\"]",
    ),
    may("stop", Shape::Flag, "whether the work may stop for the day after it", "true"),
];

/// A stage: steps over the machine, over each line, or over all lines together.
pub const STAGE: &[Field] = &[
    must("id", Shape::Text, "its key", "\"wash\""),
    must(
        "over",
        Shape::Choice(&["machine", "each-line", "all-lines"]),
        "once, line after line, or step by step for all lines",
        "\"all-lines\"",
    ),
    may("title", Shape::Words, "its heading", "title.en = \"Wash\""),
    may("sent", Shape::Flag, "whether only those come here that an answer sends", "true"),
    must("step", Shape::Tables(STEP), "its steps", "[[stage.step]]"),
];

/// A procedure.
pub const PROCEDURE: &[Field] = &[
    must("title", Shape::Words, "what it is called", "title.en = \"Weekly clean\""),
    must("purpose", Shape::Words, "what it is for", "purpose.en = \"Every line clean.\""),
    must(
        "kind",
        Shape::Choice(&["clean", "calibrate", "renew", "start-up", "take-out", "change"]),
        "what must be so at its end",
        "\"clean\"",
    ),
    must("family", Shape::Text, "the family's key", "\"screw-trim\""),
    must(
        "languages",
        Shape::Texts,
        "its languages: `written`, `unreviewed` or `reviewed by NAME`",
        "languages.en = \"written\"",
    ),
    may("frequency", Shape::Text, "how often it is done", "\"7 days\""),
    may("lines", Shape::Number, "how many lines its times and its kit are for; 1 if left out", "8"),
    may("window", Shape::Text, "how long it may take", "\"90 min\""),
    may("contact", Shape::Text, "the contact time of the sanitiser's label", "\"60 s\""),
    may("manual", Shape::Table(MANUAL), "the manual that it follows", "[manual]"),
    may("renews", Shape::List, "renew: the parts that are due", "[\"pump-tube\"]"),
    may(
        "kit",
        Shape::List,
        "what is brought along, by its key in the family's kit, or `spare` and a part",
        "[\"brush\", \"spare pump-tube\"]",
    ),
    must("stage", Shape::Tables(STAGE), "its stages, in order", "[[stage]]"),
];
