//! The meaning of the verbs: what must be true before, and what is true after. `docs/procedures.md` says the same in words.

use ouncewise_hygiene::profile::AfterRule;

use super::program::{Act, Program};
use super::state::{Line, Mask, Mixed, Outlet, Parts, Portion, SEVERAL, State, Trace};
use crate::family::{Cover, Isolation};
use crate::phrase::{Long, Supply};
use crate::procedure::Kind;
use crate::rule::Rule;
use crate::verb::Verb;

/// What comes of an act.
pub(crate) enum Done {
    /// It was done.
    Well,
    /// It was done, and something is to be told.
    Noted(Rule),
}

const WELL: Result<Done, Rule> = Ok(Done::Well);

/// Does one act for line `who`, or for the machine. `answer` is the answer of the step, which only its last act takes.
pub(crate) fn act<const N: usize>(
    program: &Program<'_>,
    state: &mut State<N>,
    who: Option<usize>,
    act: &Act,
    answer: Option<&str>,
) -> Result<Done, Rule> {
    let done = match who {
        Some(who) => on_line(program, state, who, act, answer)?,
        None => on_machine(program, state, act, answer)?,
    };
    serves(program, state)?;
    Ok(done)
}

/// Nothing but its product is in a line that serves, and nothing of it is open.
fn serves<const N: usize>(program: &Program<'_>, state: &State<N>) -> Result<(), Rule> {
    for line in state.lines.iter().filter(|line| !line.withheld) {
        let own = line.own(program.kind);
        if line.holds != own || line.feed != own || line.trace != Trace::None {
            return Err(Rule::ServesOther);
        }
        if line.open || line.parts.off != 0 || state.shared.open || state.shared.parts.off != 0 {
            return Err(Rule::ServesOpen);
        }
    }
    Ok(())
}

fn on_machine<const N: usize>(
    program: &Program<'_>,
    state: &mut State<N>,
    act: &Act,
    answer: Option<&str>,
) -> Result<Done, Rule> {
    let family = program.family;
    match act.verb {
        Verb::Isolate => match family.isolation {
            Isolation::None => return Err(Rule::Impossible),
            Isolation::HardWired => return Err(Rule::HardWired),
            Isolation::Plug | Isolation::Switch => state.shared.power = false,
        },
        Verb::Restore if family.isolation == Isolation::None => return Err(Rule::Impossible),
        Verb::Restore if state.opened() => return Err(Rule::PowerOnHands),
        Verb::Restore => state.shared.power = true,
        Verb::Open => {
            if family.cover != Cover::Machine || state.shared.open {
                return Err(Rule::Impossible);
            }
            if state.shared.power {
                return Err(Rule::Power);
            }
            state.shared.open = true;
        }
        Verb::Close if !state.shared.open => return Err(Rule::Impossible),
        Verb::Close => state.shared.open = false,
        Verb::Mix if act.supply == Supply::Sanitiser => state.shared.sanitiser = Mixed::Untested,
        Verb::Mix => {
            state.shared.detergent = true;
            state.shared.basin = 0;
        }
        // A verb of a line in a stage over the machine: told as such, and nothing is done.
        Verb::Test if act.special => {}
        Verb::Test if state.shared.sanitiser == Mixed::None => return Err(Rule::Impossible),
        Verb::Test => {
            let right = answer == Some("right");
            state.shared.sanitiser = if right { Mixed::Right } else { Mixed::Wrong };
        }
        Verb::Wash if act.special => {
            if !state.shared.detergent {
                return Err(Rule::Impossible);
            }
            state.shared.brush = 0;
        }
        Verb::Ask => {
            if act.special && answer == Some("yes") {
                state.shared.parts.spare |= act.shared;
            }
        }
        _ => return on_shared_parts(program, state, act, answer),
    }
    WELL
}

/// Parts that all lines share: what is opened or handled there is so for every line.
fn on_shared_parts<const N: usize>(
    program: &Program<'_>,
    state: &mut State<N>,
    act: &Act,
    answer: Option<&str>,
) -> Result<Done, Rule> {
    if act.shared == 0 {
        // A verb of a line in a stage over the machine: told as such, and nothing is done.
        return WELL;
    }
    let mask = state.shared.parts.meant(act.verb == Verb::Remove, act.shared, act.all);
    if mask == 0 {
        return Err(Rule::Impossible);
    }
    if act.verb == Verb::Remove {
        reach(program, state.shared.power, state.shared.open)?;
        for line in &state.lines {
            depressurised(line)?;
        }
    }
    if act.verb == Verb::Refit && state.shared.power {
        return Err(Rule::Power);
    }
    if act.verb == Verb::Wash && !state.shared.detergent {
        return Err(Rule::Impossible);
    }
    let track = track(program);
    match on_parts(program, &mut state.shared.parts, act.verb, mask, answer, track) {
        // Parts that all lines share, while every line is tagged out.
        Err(rule) if is_fitness(rule) && state.lines.iter().all(|line| line.tagged) => {
            state.shared.parts.fit(mask);
            state.lines.iter_mut().for_each(|line| line.unfit = true);
        }
        done => done?,
    }
    match act.verb {
        Verb::Remove | Verb::Refit => state.lines.iter_mut().for_each(handled),
        Verb::Renew
            if mask & program.masks.wetted == program.masks.shared & program.masks.wetted =>
        {
            state.shared.nozzle = 0;
        }
        _ => {}
    }
    WELL
}

/// Parts of which the procedure owes something.
pub(crate) fn track(program: &Program<'_>) -> Mask {
    match program.kind {
        Kind::Clean => program.masks.own,
        Kind::Renew => program.masks.renews,
        Kind::Change => program.masks.wetted,
        _ => 0,
    }
}

/// Whether parts can be reached.
fn reach(program: &Program<'_>, power: bool, open: bool) -> Result<(), Rule> {
    if program.family.cover != Cover::None && !open {
        return Err(Rule::Impossible);
    }
    if power { Err(Rule::Power) } else { Ok(()) }
}

fn depressurised(line: &Line) -> Result<(), Rule> {
    if line.pressure {
        return Err(Rule::Pressure);
    }
    if line.feed != Supply::None { Err(Rule::InletOpen) } else { Ok(()) }
}

/// A line that was opened: it is no longer sanitised, has air in it, and its portion may have changed.
fn handled(line: &mut Line) {
    line.sanitised = false;
    line.air = true;
    line.portion = Portion::Lost;
}

/// Whether a rule says that a part may not go back into a line that is to serve.
fn is_fitness(rule: Rule) -> bool {
    matches!(rule, Rule::WornBack | Rule::NotLooked | Rule::NotWashed | Rule::NotLubricated)
}

/// What a verb does to some parts.
fn on_parts(
    program: &Program<'_>,
    parts: &mut Parts,
    verb: Verb,
    mask: Mask,
    answer: Option<&str>,
    track: Mask,
) -> Result<(), Rule> {
    let all_off = parts.off & mask == mask;
    let when = |rule: Rule, fails: bool| if fails { Err(rule) } else { Ok(()) };
    match verb {
        Verb::Remove => {
            when(Rule::Impossible, parts.off & mask != 0)?;
            parts.off |= mask;
        }
        Verb::Look => {
            when(Rule::Impossible, !all_off)?;
            parts.seen |= mask;
            if answer == Some("worn") {
                parts.worn |= mask;
            }
        }
        Verb::Wash => {
            when(Rule::Impossible, !all_off)?;
            parts.washed |= mask;
            // What was on it is washed off.
            parts.greased &= !mask;
        }
        Verb::Lubricate => {
            when(Rule::Impossible, !all_off)?;
            when(Rule::NeverLubricate, mask & program.masks.never != 0)?;
            parts.greased |= mask;
        }
        Verb::Renew => {
            when(Rule::Impossible, !all_off)?;
            when(Rule::SpareUnknown, parts.spare & mask != mask)?;
            parts.spare &= !mask;
            parts.worn &= !mask;
            parts.greased &= !mask;
            parts.seen |= mask;
            parts.washed |= mask;
            if program.kind != Kind::Clean {
                parts.done |= mask & track;
            }
        }
        Verb::Refit => {
            when(Rule::Impossible, !all_off)?;
            when(Rule::WornBack, parts.worn & mask != 0)?;
            when(Rule::NotLooked, parts.seen & mask != mask)?;
            when(Rule::NotWashed, parts.washed & mask != mask)?;
            when(Rule::NotLubricated, mask & program.masks.must & !parts.greased != 0)?;
            parts.fit(mask);
            if program.kind == Kind::Clean {
                parts.done |= mask & track;
            }
        }
        _ => {}
    }
    Ok(())
}

fn on_line<const N: usize>(
    program: &Program<'_>,
    state: &mut State<N>,
    who: usize,
    act: &Act,
    answer: Option<&str>,
) -> Result<Done, Rule> {
    let family = program.family;
    let powered = family.isolation == Isolation::None || state.shared.power;
    let shared_open = state.shared.open || state.shared.parts.off != 0;
    let line = &mut state.lines[who];
    match act.verb {
        Verb::Withhold => line.withheld = true,
        Verb::Tag if !line.withheld => return Err(Rule::Impossible),
        Verb::Tag => line.tagged = true,
        // Pressure comes back at once from an inlet that is connected.
        Verb::Relieve => line.pressure &= line.feed != Supply::None,
        Verb::Open if family.cover == Cover::Line => {
            if line.open {
                return Err(Rule::Impossible);
            }
            if state.shared.power {
                return Err(Rule::Power);
            }
            line.open = true;
        }
        Verb::Close if family.cover == Cover::Line => {
            if !line.open {
                return Err(Rule::Impossible);
            }
            line.open = false;
        }
        Verb::Feed => {
            match act.supply {
                Supply::Detergent if !state.shared.detergent => return Err(Rule::Impossible),
                Supply::Sanitiser if state.shared.sanitiser == Mixed::None => {
                    return Err(Rule::Impossible);
                }
                _ => {}
            }
            if act.supply != line.feed {
                line.air = true;
                line.portion = Portion::Lost;
            }
            line.feed = act.supply;
            line.pressure |= family.pressure && act.supply != Supply::None;
        }
        Verb::Run => {
            if !powered || line.feed == Supply::None {
                return Err(Rule::Impossible);
            }
            if line.open || line.parts.off != 0 || shared_open {
                return Err(Rule::DrivenOpen);
            }
            run(program, line, act.long, state.shared.sanitiser)?;
            if matches!(line.holds, Supply::Product | Supply::NewProduct)
                && program.masks.shared & program.masks.wetted != 0
            {
                let own = who as u8 + 1;
                let soil = &mut state.shared.nozzle;
                *soil = if *soil == 0 || *soil == own { own } else { SEVERAL };
            }
        }
        Verb::Test if act.special => {
            if line.holds != Supply::Sanitiser {
                return Err(Rule::Impossible);
            }
            line.outlet = if answer == Some("right") { Outlet::Right } else { Outlet::Wrong };
        }
        Verb::Soak => return soak(program, line, act.long),
        Verb::Drain => {
            if line.feed != Supply::None {
                return Err(Rule::Impossible);
            }
            line.holds = Supply::None;
            line.outlet = Outlet::Unread;
            line.air = true;
            if line.trace == Trace::Sanitiser && program.after != AfterRule::Rinse {
                line.trace = Trace::None;
            }
        }
        Verb::Catch => {
            if !powered {
                return Err(Rule::Impossible);
            }
            if line.open || line.parts.off != 0 || shared_open {
                return Err(Rule::DrivenOpen);
            }
            let product = matches!(line.holds, Supply::Product | Supply::NewProduct);
            if !product || line.feed != line.holds || line.air {
                return Err(Rule::CatchNotReady);
            }
            line.portion = match answer {
                Some("on") => Portion::On,
                Some("off") => Portion::Off,
                _ => Portion::Undecided,
            };
        }
        Verb::Adjust => {
            if family.adjuster == "none" {
                return Err(Rule::Impossible);
            }
            if matches!(line.portion, Portion::Lost | Portion::Standing) {
                return Err(Rule::AdjustBlind);
            }
            line.portion = Portion::Lost;
        }
        Verb::Release => return release(program, state, who, powered),
        Verb::Ask if act.special && answer == Some("yes") => {
            line.parts.spare |= act.parts;
            state.shared.parts.spare |= act.shared;
        }
        Verb::Wash if act.special => return on_machine(program, state, act, answer),
        Verb::Remove | Verb::Look | Verb::Wash | Verb::Renew | Verb::Lubricate | Verb::Refit => {
            return on_line_parts(program, state, who, act, answer);
        }
        _ => return on_machine(program, state, act, answer),
    }
    WELL
}

fn run(program: &Program<'_>, line: &mut Line, long: Long, bucket: Mixed) -> Result<(), Rule> {
    match line.feed {
        Supply::Product | Supply::NewProduct => match line.trace {
            Trace::Sanitiser => return Err(Rule::SanitiserLeft),
            Trace::Detergent => return Err(Rule::DetergentLeft),
            Trace::None => {}
        },
        Supply::Water => {
            // A rinse of what was just sanitised; flushing out product that came since is none.
            let just = matches!(line.holds, Supply::None | Supply::Sanitiser);
            let forbidden = program.after == AfterRule::DrainNoRinse && line.sanitised && just;
            if forbidden {
                return Err(Rule::RinsedAfter);
            }
        }
        Supply::Sanitiser => {
            if bucket != Mixed::Right {
                return Err(Rule::NotTested);
            }
            if program.rinse_between && line.trace == Trace::Detergent {
                return Err(Rule::NotRinsed);
            }
            if !line.washed {
                return Err(Rule::NotWashedFirst);
            }
        }
        Supply::Detergent | Supply::None => {}
    }
    let enough = match long {
        Long::UntilAirFree => true,
        Long::For(seconds) => seconds >= program.flush,
        Long::Unsaid => program.flush.0 == 0,
    };
    if line.holds != line.feed && !enough {
        return Err(Rule::RunShort);
    }
    match line.feed {
        Supply::Product | Supply::NewProduct => {
            line.washed = false;
            if long == Long::UntilAirFree {
                line.air = false;
            }
        }
        Supply::Water => line.trace = Trace::None,
        Supply::Detergent => {
            line.trace = Trace::Detergent;
            line.washed = true;
            line.sanitised = false;
        }
        Supply::Sanitiser => line.trace = Trace::Sanitiser,
        Supply::None => {}
    }
    line.holds = line.feed;
    line.outlet = Outlet::Unread;
    Ok(())
}

fn soak(program: &Program<'_>, line: &mut Line, long: Long) -> Result<Done, Rule> {
    match line.holds {
        Supply::Sanitiser => {
            let long = if let Long::For(seconds) = long { seconds } else { Default::default() };
            // The clock starts when the outlet has its strength.
            let noted = match line.outlet {
                Outlet::Right => Done::Well,
                Outlet::Unread if !program.outlet => Done::Noted(Rule::OutletUnread),
                Outlet::Unread | Outlet::Wrong => return Err(Rule::NotAtOutlet),
            };
            if long < program.contact {
                return Err(Rule::Contact);
            }
            line.sanitised = true;
            Ok(noted)
        }
        Supply::Detergent => WELL,
        // A wait on a line that holds neither does nothing, and nobody sees that.
        _ => Err(Rule::Contact),
    }
}

fn on_line_parts<const N: usize>(
    program: &Program<'_>,
    state: &mut State<N>,
    who: usize,
    act: &Act,
    answer: Option<&str>,
) -> Result<Done, Rule> {
    if act.shared != 0 {
        on_shared_parts(program, state, act, answer)?;
    }
    if act.parts == 0 {
        return WELL;
    }
    let open = state.shared.open;
    let line = &mut state.lines[who];
    let mask = line.parts.meant(act.verb == Verb::Remove, act.parts, act.all);
    if mask == 0 {
        return Err(Rule::Impossible);
    }
    if act.verb == Verb::Remove {
        reach(program, state.shared.power, line.open || open)?;
        depressurised(line)?;
    }
    if act.verb == Verb::Refit && state.shared.power {
        return Err(Rule::Power);
    }
    if act.verb == Verb::Wash && !state.shared.detergent {
        return Err(Rule::Impossible);
    }
    match on_parts(program, &mut line.parts, act.verb, mask, answer, track(program)) {
        // A line that is tagged out may be put together as it is, and does not serve then.
        Err(rule) if is_fitness(rule) && line.tagged => {
            line.parts.fit(mask);
            line.unfit = true;
        }
        done => done?,
    }
    match act.verb {
        Verb::Remove | Verb::Refit => handled(line),
        Verb::Wash => {
            let own = who as u8 + 1;
            let mut carried = false;
            let mut soil = |soil: &mut u8, shared: bool| {
                if shared {
                    carried |= *soil != 0 && *soil != own;
                    *soil = own;
                }
            };
            soil(&mut state.shared.brush, program.brush_shared);
            soil(&mut state.shared.basin, program.basin_shared);
            if carried {
                return Ok(Done::Noted(Rule::CannotShow));
            }
        }
        _ => {}
    }
    WELL
}

fn release<const N: usize>(
    program: &Program<'_>,
    state: &mut State<N>,
    who: usize,
    powered: bool,
) -> Result<Done, Rule> {
    let kind = program.kind;
    let line = state.lines[who];
    let product = if kind == Kind::Change { Supply::NewProduct } else { Supply::Product };
    let shared = &state.shared;
    if kind == Kind::TakeOut {
        return Err(Rule::Owed);
    }
    if line.open || line.parts.off != 0 || shared.open || shared.parts.off != 0 {
        return Err(Rule::OpenAtRelease);
    }
    if line.holds != product || line.feed != product || line.trace != Trace::None {
        return Err(Rule::ServesOther);
    }
    if line.unfit {
        return Err(Rule::WornBack);
    }
    if !line.sanitised {
        return Err(Rule::NotSanitised);
    }
    let done = line.parts.done | shared.parts.done;
    if kind != Kind::Change && track(program) & !done != 0 {
        return Err(Rule::Owed);
    }
    if !matches!(line.portion, Portion::On | Portion::Standing) {
        return Err(Rule::NotCaught);
    }
    if !powered {
        return Err(Rule::NotReady);
    }
    let own = who as u8 + 1;
    let nozzle = program.masks.shared & program.masks.wetted != 0
        && shared.nozzle != 0
        && shared.nozzle != own;
    let old = kind == Kind::Change && program.masks.wetted & !done != 0;
    let line = &mut state.lines[who];
    line.withheld = false;
    line.tagged = false;
    line.released = true;
    if nozzle || old { Ok(Done::Noted(Rule::CannotShow)) } else { WELL }
}

/// What must be so when a line, and the machine, have come to the end.
pub(crate) fn ended<const N: usize>(program: &Program<'_>, state: &State<N>) -> Result<(), Rule> {
    let powered = program.family.isolation == Isolation::None || state.shared.power;
    let shared_open = state.shared.open || state.shared.parts.off != 0;
    for line in &state.lines {
        let solution = matches!(line.holds, Supply::Detergent | Supply::Sanitiser)
            || line.trace != Trace::None;
        if solution || line.open || line.parts.off != 0 || shared_open {
            return Err(Rule::LeftStanding);
        }
        if line.withheld {
            if !line.tagged {
                return Err(Rule::LeftUntagged);
            }
            let empty = line.holds == Supply::None && line.feed == Supply::None && !line.pressure;
            if program.kind == Kind::TakeOut && !(empty && line.washed) {
                return Err(Rule::Owed);
            }
            continue;
        }
        let done = line.parts.done | state.shared.parts.done;
        let owed = match program.kind {
            Kind::TakeOut => true,
            Kind::Change | Kind::StartUp => !line.released,
            Kind::Renew | Kind::Clean => track(program) & !done != 0,
            Kind::Calibrate => false,
        };
        if owed {
            return Err(Rule::Owed);
        }
        if !line.sanitised {
            return Err(Rule::NotSanitised);
        }
        if !matches!(line.portion, Portion::On | Portion::Standing) {
            return Err(Rule::NotCaught);
        }
        if !powered {
            return Err(Rule::NotReady);
        }
    }
    Ok(())
}
