//! The sanitising of a round: what is written down of it, and what a crew in a hurry leaves out or cuts short.
//!
//! It has a stream of chance of its own, so that readings and adjustments are the same with and without it.

use jiff::{SignedDuration, Timestamp};
use ouncewise_estate::Estate;
use ouncewise_ledger::{Body, Entered, Holds, Stage, Subject};
use uuid::Uuid;

use crate::chance::Chance;
use crate::diary::{Diary, Happening};
use crate::state::Machine;

/// For so many weeks before the last day a site records its sanitising, where a food code is in force.
const WEEKS: u32 = 6;

/// How often something that must be recorded is left out, of each round. Assumed.
const LEFT_OUT: f64 = 0.2;
/// How often a flush is cut short. Assumed.
const FLUSH_SHORT: f64 = 0.15;
/// How often the contact time is cut short. Assumed.
const CONTACT_SHORT: f64 = 0.06;
/// How often a second person looks it over, and how often that person is no other. Assumed.
const LOOKED_OVER: (f64, f64) = (0.5, 0.1);
/// Share of sites whose box of strips is past its expiry. Assumed.
const OLD_STRIPS: f64 = 0.1;

/// What a site is held to, and the boxes that are open there.
pub(crate) struct Sanitising {
    chance: Chance,
    profile: String,
    edition: String,
    first_week: u32,
    old_strips: bool,
    boxes: Option<Boxes>,
}

#[derive(Clone, Copy)]
struct Boxes {
    sanitiser: Uuid,
    strips: Uuid,
}

/// What is left out of a round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Gap {
    OutletStrip,
    ContactEnd,
    Discarded,
    Temperature,
    Lubricant,
}

const GAPS: [Gap; 5] =
    [Gap::OutletStrip, Gap::ContactEnd, Gap::Discarded, Gap::Temperature, Gap::Lubricant];

/// A round whose sanitising is written down.
pub(crate) struct Work<'w> {
    pub(crate) diary: &'w mut Diary,
    pub(crate) person: &'w str,
    pub(crate) other: &'w str,
    /// Lines that the round reached.
    pub(crate) reached: usize,
}

impl Sanitising {
    /// Nothing where no food code is in force.
    pub(crate) fn new(estate: &Estate, site: &str, seed: u64, weeks: u32) -> Option<Self> {
        let profile = estate.profile_in_force(site)?;
        let mut chance = Chance::new(seed, &format!("{site}/sanitising"));
        Some(Self {
            profile: profile.id.clone(),
            edition: profile.edition.clone(),
            first_week: weeks.saturating_sub(WEEKS),
            old_strips: chance.happens(OLD_STRIPS),
            boxes: None,
            chance,
        })
    }

    /// Whether rounds of a week are recorded with their sanitising.
    pub(crate) fn holds(&self, week: u32) -> bool {
        week >= self.first_week
    }

    /// The record that opens such a round.
    pub(crate) fn opened(&self) -> Body {
        Body::RoundOpened {
            procedure: None,
            profile: Some(self.profile.clone()),
            edition: Some(self.edition.clone()),
            program: Some(format!("ouncewise {}", env!("CARGO_PKG_VERSION"))),
        }
    }

    /// Flushes, sanitises and empties the machine, beginning at `now`. When it ended, and whether all was written down.
    pub(crate) fn perform(
        &mut self,
        machine: &Machine,
        work: &mut Work<'_>,
        now: Timestamp,
    ) -> (Timestamp, bool) {
        let mut at = now;
        let here = || Subject::machine(&machine.plan.key);
        let gap = self.chance.happens(LEFT_OUT).then(|| *self.chance.pick(&GAPS));
        let left_out = |what| gap == Some(what);
        let boxes = self.boxes(work, at);
        let flushed = match self.chance.happens(FLUSH_SHORT) {
            true => *self.chance.pick(&[8, 20, 45]),
            false => *self.chance.pick(&[180, 200, 240, 300]),
        };
        // A round that is not finished leaves some lines without; else all of the machine is done together.
        let whole = work.reached >= machine.lines.len();
        let reached = machine.lines.iter().take(work.reached);
        let lines: Vec<Subject> = match whole {
            true => vec![here()],
            false => reached.map(|l| Subject::line(&machine.plan.key, &l.plan.key)).collect(),
        };
        let amount = format!("{flushed} s");
        let body = Body::Flushed { stage: Stage::Before, amount };
        self.each(work, &mut at, flushed, &lines, &body);
        let warm = 23 + self.chance.below(6);
        let mixed = Body::SolutionMixed {
            product: "chlorine sachets".to_owned(),
            dose: "1 sachet".to_owned(),
            water: "10 L".to_owned(),
            temperature: (!left_out(Gap::Temperature)).then(|| format!("{warm} °C")),
            ph: None,
            hardness: None,
            from_box: Some(boxes.sanitiser),
        };
        self.after(work, &mut at, 90, here(), mixed);
        let strip = |place: &str| Body::StripRead {
            reading: "strip class 100".to_owned(),
            place: place.to_owned(),
            from_box: Some(boxes.strips),
        };
        self.after(work, &mut at, 40, here(), strip("bucket"));
        if !left_out(Gap::OutletStrip) {
            self.each(work, &mut at, 45, &lines, &strip("outlet"));
        }
        self.each(work, &mut at, 5, &lines, &Body::ContactStarted {});
        if !left_out(Gap::ContactEnd) {
            let short = self.chance.happens(CONTACT_SHORT);
            let seconds = if short { 20 } else { 60 + 10 * self.chance.below(7) as i64 };
            at += SignedDuration::from_secs(seconds);
            let lasted = Some(format!("{seconds} s"));
            self.each(work, &mut at, 2, &lines, &Body::ContactEnded { lasted });
        }
        self.each(work, &mut at, 60, &lines, &Body::Drained { vented: true });
        if !left_out(Gap::Discarded) {
            let amount = Some("250 mL".to_owned());
            self.each(work, &mut at, 50, &lines, &Body::Discarded { amount });
        }
        for (part, _) in &machine.plan.parts {
            let found = "good".to_owned();
            self.after(work, &mut at, 20, here().with_part(part), Body::PartInspected { found });
        }
        if !left_out(Gap::Lubricant) {
            let lubricated = Body::Lubricated {
                lubricant: "silicone film".to_owned(),
                statement: Some("food grade".to_owned()),
            };
            self.after(work, &mut at, 20, here(), lubricated);
        }
        let day = work.diary.day(now);
        let checked = Body::ProductChecked {
            temperature: Some(format!("{} °C", 3 + self.chance.below(3))),
            lot: Some(format!("L{:05}", self.chance.below(100_000))),
            opened: Some(day),
        };
        self.after(work, &mut at, 30, here(), checked);
        (at, gap.is_none() && whole)
    }

    /// A second person looks the round over after it was closed.
    pub(crate) fn look_over(&mut self, machine: &Machine, work: &mut Work<'_>, closed: Timestamp) {
        if self.chance.happens(LOOKED_OVER.0) {
            let other = if self.chance.happens(LOOKED_OVER.1) { work.person } else { work.other };
            let at = closed + SignedDuration::from_secs(90);
            self.write(work, other, at, Subject::machine(&machine.plan.key), Body::Verified {});
        }
    }

    /// The boxes that are open; the first time they are opened and recorded.
    fn boxes(&mut self, work: &mut Work<'_>, at: Timestamp) -> Boxes {
        if let Some(boxes) = self.boxes {
            return boxes;
        }
        let text = |words: &str| Some(words.to_owned());
        let month = |months: i32| {
            let day = work.diary.day(at + SignedDuration::from_hours(24 * 30 * i64::from(months)));
            day.get(..7).map(str::to_owned)
        };
        let (sachets, strips) = (month(14), month(if self.old_strips { -2 } else { 10 }));
        let opened = |holds, name: &str, lot: String, expiry, contact| Body::BoxOpened {
            holds,
            name: name.to_owned(),
            registration: None,
            lot: Some(lot),
            expiry,
            active: text("chlorine"),
            contact,
            strength: None,
            signal_word: None,
        };
        let lot =
            |chance: &mut Chance, letter: char| format!("{letter}{:04}", chance.below(10_000));
        let of_sachets = lot(&mut self.chance, 'C');
        let of_strips = lot(&mut self.chance, 'S');
        let sachets =
            opened(Holds::Sanitiser, "Chlorine sachets", of_sachets, sachets, text("60 s"));
        let strips = opened(Holds::Strips, "Chlorine strips", of_strips, strips, None);
        let person = work.person;
        let boxes = Boxes {
            sanitiser: self.write(work, person, at, Subject::default(), sachets),
            strips: self.write(work, person, at, Subject::default(), strips),
        };
        self.boxes = Some(boxes);
        boxes
    }

    /// About so many seconds later, of each of these: one right after the other.
    fn each(
        &mut self,
        work: &mut Work<'_>,
        at: &mut Timestamp,
        seconds: i64,
        subjects: &[Subject],
        body: &Body,
    ) {
        for (nth, subject) in subjects.iter().enumerate() {
            let seconds = if nth == 0 { seconds } else { 3 };
            self.after(work, at, seconds, subject.clone(), body.clone());
        }
    }

    /// About so many seconds later.
    fn after(
        &mut self,
        work: &mut Work<'_>,
        at: &mut Timestamp,
        seconds: i64,
        subject: Subject,
        body: Body,
    ) {
        let stretch = self.chance.between(1.0, 1.3);
        *at += SignedDuration::from_millis((1000.0 * seconds as f64 * stretch) as i64);
        let person = work.person;
        self.write(work, person, *at, subject, body);
    }

    fn write(
        &mut self,
        work: &mut Work<'_>,
        person: &str,
        at: Timestamp,
        subject: Subject,
        body: Body,
    ) -> Uuid {
        let entered = Entered::AtMachine;
        let person = Some(person.to_owned());
        work.diary
            .write(Happening { at, subject, person, note: None, entered, body }, &mut self.chance)
    }
}
