//! The rules: what is told of a procedure, each with its code. `docs/procedures/rules.md` explains each, with an example that
//! fails and one that passes. No code is used again for another meaning.

use serde::Serialize;

/// Who or what is the worse for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Harm {
    /// A guest could be hurt or made ill.
    Guest,
    /// Whoever does the work could be hurt.
    Crew,
    /// The portion would be wrong.
    Portion,
    /// The machine would suffer.
    Machine,
    /// Only the work: it cannot go on, or the text is wanting.
    Work,
}

macro_rules! rules {
    ($($name:ident = $code:literal, $harm:ident, $seen:literal, $title:literal, $mend:literal;)*) => {
        /// A rule.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Rule { $(#[doc = $title] $name,)* }

        impl Rule {
            /// Every rule, in the order of the codes.
            pub const ALL: &'static [Self] = &[$(Self::$name),*];

            /// Its code.
            #[must_use]
            pub fn code(self) -> &'static str {
                match self { $(Self::$name => $code),* }
            }

            /// What it says, in lower case and without a full stop.
            #[must_use]
            pub fn title(self) -> &'static str {
                match self { $(Self::$name => $title),* }
            }

            /// How to mend what breaks it.
            #[must_use]
            pub fn mend(self) -> &'static str {
                match self { $(Self::$name => $mend),* }
            }

            /// Who is the worse for it.
            #[must_use]
            pub fn harm(self) -> Harm {
                match self { $(Self::$name => Harm::$harm),* }
            }

            /// Whether whoever does the work notices at once, since it cannot go on.
            #[must_use]
            pub fn is_noticed(self) -> bool {
                match self { $(Self::$name => $seen),* }
            }
        }
    };
}

rules! {
    Unreadable = "R001", Work, true, "the text cannot be read", "mend the text where it is marked";
    UnknownField = "R002", Work, true, "there is no such field", "take the field out, or write its name as the list of fields has it";
    Missing = "R003", Work, true, "a field that must be there is missing", "write it";
    WrongSort = "R004", Work, true, "the value is of the wrong sort", "write what the list of fields says";
    UnknownVerb = "R005", Work, true, "the phrase cannot be read", "begin with a verb of the list";
    UnknownName = "R006", Work, true, "the name is known nowhere", "declare it, or write it as it is declared";
    Twice = "R007", Work, true, "the same name twice", "give each its own name";
    TooMuch = "R008", Work, true, "there is more of it than the checker takes", "part the procedure in two";

    Unreachable = "R101", Work, true, "no way leads to this step", "take the step out, or send an answer to it";
    AnswerMissing = "R102", Work, true, "an answer leads nowhere", "say under `answers` where each answer leads";
    Endless = "R103", Work, true, "a way back has no end", "say `at_most` how often, and `or_else` where to after that";
    Language = "R104", Work, true, "a language lacks a sentence", "write the sentence in every language of the procedure";
    KitMissing = "R105", Work, true, "a step uses what the kit does not list", "add it to the kit";
    KitUnused = "R106", Work, true, "the kit lists what no step uses", "take it out of the kit";
    ReadingUnused = "R107", Work, true, "a reading is asked for and never used", "name it under `uses` where it matters, or ask for no reading";
    ReadingUnknown = "R108", Work, true, "a step uses a reading that nobody took", "ask for it under `reads` in that step or one before";
    OverWindow = "R109", Work, true, "the work takes longer than its window", "shorten it, do fewer lines at a time, or widen the window";
    WrongStage = "R110", Work, true, "the verb acts on a line, and the stage is over the machine", "move the step to a stage over lines";
    TwoAnswers = "R111", Work, true, "a step asks for more than one answer, or does something after it", "end the step with the phrase that asks";
    NoSentence = "R112", Work, true, "a step does something and says nothing", "write under `say` what the person does";
    StopUnsafe = "R113", Work, true, "the work may stop here, and should not be left as it is then", "move `stop` to a step after which nothing is open and no solution is in a line";

    ServesOther = "R201", Guest, false, "a line serves something other than its product", "withhold the line first, and release it only when it holds its product";
    ServesOpen = "R202", Guest, false, "a line serves with a part off or its cover open", "withhold the line first";
    Pressure = "R203", Crew, false, "something is opened that holds pressure", "shut the inlet, then relieve the pressure, before it";
    Power = "R204", Crew, false, "hands are inside while the power is on", "isolate the power before it";
    DrivenOpen = "R205", Crew, false, "the line is driven with a part off or its cover open", "refit every part and close the cover first";
    PowerOnHands = "R206", Crew, false, "the power comes back while something is open", "refit every part and close every cover, on every line, first";
    NotLooked = "R207", Guest, false, "a part goes back that nobody looked at", "look at it, or renew it, before it is refitted";
    NotWashed = "R208", Guest, false, "a part goes back unwashed", "wash it, or renew it, before it is refitted";
    WornBack = "R209", Guest, false, "a worn part goes back", "renew it where the answer is worn";
    NotLubricated = "R210", Machine, false, "a part goes back without the lubricant that it must have", "lubricate it after it was washed and before it is refitted";
    NeverLubricate = "R211", Guest, false, "a part is lubricated that must never be", "take the part out of the phrase";
    NotWashedFirst = "R212", Guest, false, "sanitiser goes into a line that was not washed", "run detergent through it first";
    NotRinsed = "R213", Crew, false, "sanitiser meets detergent", "run water between them";
    NotTested = "R214", Guest, false, "sanitiser is used whose strength nobody tested, or that failed", "test it after it was mixed, and mix again where it is wrong";
    Contact = "R215", Guest, false, "the contact time is not reached", "soak with the line full of sanitiser for at least the contact time";
    SanitiserLeft = "R216", Guest, false, "product goes into a line that still has sanitiser in it", "clear the sanitiser as the food code asks: drain it, or rinse it";
    DetergentLeft = "R217", Guest, false, "product goes into a line that still has detergent in it", "run water until the detergent is out";
    RinsedAfter = "R218", Guest, false, "a sanitised line is rinsed where the food code forbids it", "drain the line, and do not rinse it";
    NotSanitised = "R219", Guest, false, "a line goes into service that was not sanitised since it was opened or came due", "wash and sanitise it after the last part was refitted";
    OpenAtRelease = "R220", Guest, false, "a line is released with a part off or its cover open", "refit every part and close the cover first";
    NotReady = "R221", Portion, false, "a line is released that cannot serve", "give it its power back before it is released";
    CatchNotReady = "R222", Portion, false, "a catch is taken that is not of product free of air", "feed product and run until air-free before the catch";
    NotCaught = "R223", Portion, false, "a line goes into service whose portion was not shown since it could last change", "catch after the last thing that changes the flow, and release only where the answer is on";
    AdjustBlind = "R224", Portion, false, "the adjuster is turned without a catch since the last change", "catch first";
    Impossible = "R225", Work, true, "the step cannot be done as the machine stands then", "put the steps in an order that can be done";
    SpareUnknown = "R226", Work, true, "a part is renewed and nobody knows whether there is a spare", "ask for the spare first, and say where to go without one";
    LeftUntagged = "R227", Work, false, "a line is left withheld and untagged", "tag it, or release it";
    LeftStanding = "R228", Guest, false, "a line is left with a solution in it, or open", "clear it, refit its parts and close it before the end";
    Owed = "R229", Guest, false, "the procedure ends without what it is for", "do on every way what the procedure is for, or take the line out of service";
    RunShort = "R230", Guest, false, "what the line holds is not displaced in so short a run", "run at least as long as the family's flush";
    HardWired = "R231", Crew, false, "the power is hard-wired", "leave it to a licensed technician";
    CannotShow = "R232", Guest, false, "it cannot be shown that nothing of another allergen is left", "renew every part that product touches, or give each line its own brush and basin";
    InletOpen = "R233", Crew, false, "a line is opened while its inlet is connected", "feed none before it";
    NotAtOutlet = "R234", Guest, false, "contact is counted and no strip showed the strength at the outlet", "read a strip at the outlet (`test outlet`) after the sanitiser ran and before the soak, and go on only where it is right";
    OutletUnread = "R235", Guest, false, "the strength is known of the bucket, and nobody looked at the outlet", "read a strip at the outlet (`test outlet`) after the sanitiser ran and before the soak";
    NotCovered = "R290", Work, true, "not everything was looked at", "part the procedure in two, or have fewer answers";
}

impl Rule {
    /// Whether the text stands although this is told of it.
    #[must_use]
    pub fn is_note(self) -> bool {
        matches!(self, Self::CannotShow | Self::OutletUnread)
    }
}

impl Serialize for Rule {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.code())
    }
}
