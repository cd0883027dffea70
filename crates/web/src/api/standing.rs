//! How lines stand: this week, sites, machines, lines, and a machine's sheet.

use std::collections::BTreeMap;

use ouncewise_estate::{Address, Estate, Misread, Site};
use ouncewise_estimate::Told;
use ouncewise_paper::sheet::{MachineSheet, Paper, Print};
use ouncewise_report::{
    ChartsReport, Counts, LineReport, LineStanding, RoundsReport, WeekReport, line_allergens,
    line_flush, line_money,
};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::call::{Call, Nothing, Reply};
use super::list::{Listed, PageAsked, listed};
use super::problem::Problem;
use super::schemas::{KeyHere, SheetHere};
use crate::App;

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WeekAsked {
    /// Key of a site: only its lines.
    site: Option<KeyHere>,
    /// The most lines to list.
    #[serde(default = "ten")]
    #[schemars(range(min = 1, max = 200))]
    top: u32,
}

fn ten() -> u32 {
    10
}

pub async fn week(call: Call<Nothing, WeekAsked>) -> Result<Reply<WeekReport>, Problem> {
    let site = call.asked.site.as_deref().map(String::as_str);
    let store = call.app.store();
    let (mut report, week, _) = ouncewise_report::week(store, site, call.asked.top, None).await?;
    ouncewise_report::week_money(store, (&mut report, &week), call.app.now(), None).await?;
    Ok(report.into())
}

/// One site in a list.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SiteInList {
    /// Its key.
    site: String,
    /// What it is called.
    name: String,
    /// How its lines in use stand.
    counts: Counts,
    /// Whether it is no longer in use.
    retired: bool,
}

/// How the lines of each site stand.
async fn counts(app: &App) -> Result<BTreeMap<String, Counts>, Problem> {
    let mut all: BTreeMap<String, Counts> = BTreeMap::new();
    for (site, verdict, lines) in app.store().by_site().await? {
        let counts = all.entry(site).or_default();
        let is = |told: Told| verdict.as_deref() == Some(told.key());
        let count = if is(Told::OnTarget) {
            &mut counts.on_target
        } else if is(Told::OffTarget) {
            &mut counts.off_target
        } else if is(Told::Undecided) {
            &mut counts.undecided
        } else {
            &mut counts.without_verdict
        };
        *count += lines;
    }
    Ok(all)
}

pub async fn sites(call: Call<Nothing, PageAsked>) -> Result<Reply<Listed<SiteInList>>, Problem> {
    let page = call.asked.page("sites")?;
    let counts = counts(&call.app).await?;
    let estate = call.app.store().estate().await?;
    let after = page.after.clone();
    let all = estate
        .sites
        .iter()
        .filter(|(key, _)| after.as_deref().is_none_or(|after| key.as_str() > after));
    let items = all.take(page.limit + 1).map(|(key, site)| {
        let item = SiteInList {
            site: key.to_string(),
            name: named(&site.name, key),
            counts: counts.get(key.as_str()).copied().unwrap_or_default(),
            retired: site.retired,
        };
        (key.to_string(), item)
    });
    Ok(listed(&call.uri, &page, items.collect()))
}

fn named(name: &str, key: &str) -> String {
    if name.is_empty() { key } else { name }.to_owned()
}

/// A machine in a list.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MachineInList {
    /// Its key within the site.
    machine: String,
    /// What it is called.
    name: String,
    /// Key of its family.
    family: String,
    /// `open`, `idle`, `paused` or `removed`.
    state: String,
    /// How many lines it has in use.
    lines: u64,
}

/// A measure that is kept at a site.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MeasureInList {
    /// Its key within the site.
    measure: String,
    /// Key of its kind.
    kind: String,
    /// Whether it is no longer in use.
    retired: bool,
}

/// One site: its machines and measures, and how its lines stand.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SiteReport {
    /// Its key.
    site: String,
    /// What it is called.
    name: String,
    /// Key of its owner, where it is not the group itself.
    owner: Option<String>,
    /// The time zone of its clocks (IANA).
    time_zone: String,
    /// Whether it is no longer in use.
    retired: bool,
    /// How its lines in use stand.
    counts: Counts,
    /// Its machines.
    machines: Vec<MachineInList>,
    /// The measures that are kept there.
    measures: Vec<MeasureInList>,
    /// Machines whose records are newer than what is shown, because a load is under way.
    behind: u64,
}

#[derive(Debug, Deserialize, JsonSchema)]
pub struct SiteAt {
    /// Key of the site.
    site: KeyHere,
}

pub async fn site(call: Call<SiteAt>) -> Result<Reply<SiteReport>, Problem> {
    let key = call.at.site.as_str();
    let (week, ..) = ouncewise_report::week(call.app.store(), Some(key), 1, None).await?;
    let estate = call.app.store().estate_at(key).await?;
    let Some(site) = estate.sites.get(key) else { return Err(no_site(key)) };
    Ok(SiteReport {
        site: key.to_owned(),
        name: named(&site.name, key),
        owner: site.owner.as_ref().map(ToString::to_string),
        time_zone: zone(&estate, site),
        retired: site.retired,
        counts: week.counts,
        machines: site
            .machines
            .iter()
            .map(|(machine, m)| MachineInList {
                machine: machine.to_string(),
                name: named(&m.name, machine),
                family: m.family.to_string(),
                state: m.state.word().to_owned(),
                lines: m.lines.values().filter(|line| !line.retired).count() as u64,
            })
            .collect(),
        measures: site
            .measures
            .iter()
            .map(|(measure, piece)| MeasureInList {
                measure: measure.to_string(),
                kind: piece.kind.to_string(),
                retired: piece.retired,
            })
            .collect(),
        behind: week.behind,
    }
    .into())
}

fn no_site(key: &str) -> Problem {
    Problem::missing(format!("there is no site `{key}`"), "GET /api/v1/sites lists them")
}

fn zone(estate: &Estate, site: &Site) -> String {
    site.time_zone.as_ref().unwrap_or(&estate.group.time_zone).to_string()
}

/// One machine, and how each of its lines stands.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MachineReport {
    /// Key of the site.
    site: String,
    /// Its key within the site.
    machine: String,
    /// What it is called.
    name: String,
    /// Key of its family.
    family: String,
    /// Serial number, where known.
    serial: Option<String>,
    /// `open`, `idle`, `paused` or `removed`.
    state: String,
    /// Its lines, in the order in which people list them.
    lines: Vec<LineStanding>,
}

#[derive(Debug, Deserialize, JsonSchema)]
pub struct MachineAt {
    /// Key of the site.
    site: KeyHere,
    /// Key of the machine within the site.
    machine: KeyHere,
}

pub async fn machine(call: Call<MachineAt>) -> Result<Reply<MachineReport>, Problem> {
    let MachineAt { site, machine } = &call.at;
    let (estate, lines) = ouncewise_report::machine(call.app.store(), site, machine).await?;
    let Some(known) = estate.machine(site, machine) else { return Err(no_machine(site, machine)) };
    let standings = lines.iter().filter_map(|(_, history, _)| history.standing.as_ref());
    Ok(MachineReport {
        site: site.to_string(),
        machine: machine.to_string(),
        name: named(&known.name, machine),
        family: known.family.to_string(),
        serial: known.serial.clone(),
        state: known.state.word().to_owned(),
        lines: standings.map(|standing| LineStanding::new(standing, estate.group.units)).collect(),
    }
    .into())
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RoundsAsked {
    /// The most rounds to list, the latest ones.
    #[serde(default = "fifty")]
    #[schemars(range(min = 1, max = 200))]
    last: usize,
}

pub async fn rounds(call: Call<MachineAt, RoundsAsked>) -> Result<Reply<RoundsReport>, Problem> {
    let MachineAt { site, machine } = &call.at;
    let (site, machine) = (Some(site.as_str()), Some(machine.as_str()));
    let report =
        ouncewise_report::rounds_of(call.app.store(), site, machine, call.asked.last).await?;
    Ok(report.into())
}

fn no_machine(site: &str, machine: &str) -> Problem {
    Problem::missing(
        format!("there is no machine `{site}/{machine}`"),
        format!("GET /api/v1/sites/{site} lists the machines of the site"),
    )
}

/// The paper of a sheet.
#[derive(Debug, Clone, Copy, Default, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PaperAsked {
    #[default]
    A4,
    Letter,
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SheetAsked {
    /// The paper that it is for: `a4`, unless said otherwise.
    #[serde(default)]
    paper: PaperAsked,
    /// Key of a measure of the site that stands in for each line's usual one.
    measure: Option<KeyHere>,
}

pub async fn sheet(call: Call<MachineAt, SheetAsked>) -> Result<Reply<SheetHere>, Problem> {
    let MachineAt { site, machine } = &call.at;
    let (estate, lines) = ouncewise_report::machine(call.app.store(), site, machine).await?;
    let Some(here) = estate.sites.get(site.as_str()) else { return Err(no_site(site)) };
    let measure = call.asked.measure.as_deref().map(String::as_str);
    if let Some(measure) = measure.filter(|key| !here.measures.contains_key(*key)) {
        return Err(Problem::missing(
            format!("there is no measure `{measure}` at `{}`", site.as_str()),
            format!("GET /api/v1/sites/{} lists the measures of the site", site.as_str()),
        ));
    }
    let standings: Vec<_> = lines.into_iter().filter_map(|(_, known, _)| known.standing).collect();
    let zone = here.time_zone.as_ref().unwrap_or(&estate.group.time_zone).rules();
    let today = call.app.now().to_zoned_datetime(zone).date().to_string();
    let print = Print {
        paper: match call.asked.paper {
            PaperAsked::A4 => Paper::A4,
            PaperAsked::Letter => Paper::Letter,
        },
        units: estate.group.units,
        printed_on: &today,
        measure,
    };
    let sheet = MachineSheet::new(&estate, site, machine, &standings, &print).map_err(|e| {
        Problem::missing(e.to_string(), "the estate does not describe this machine in full")
    })?;
    Ok(SheetHere(sheet).into())
}

#[derive(Debug, Deserialize, JsonSchema)]
pub struct LineAt {
    /// Key of the site.
    site: KeyHere,
    /// Key of the machine within the site.
    machine: KeyHere,
    /// Key of the line within the machine.
    line: KeyHere,
}

impl LineAt {
    /// As the address of a line.
    pub fn address(&self) -> Result<Address, Problem> {
        Address::new(&self.site, &self.machine, &self.line)
            .map_err(|Misread { message, hint }| Problem::missing(message, hint))
    }
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LineAsked {
    /// The most events of its story to tell, the latest ones.
    #[serde(default = "fifty")]
    #[schemars(range(min = 1, max = 200))]
    last: usize,
}

fn fifty() -> usize {
    50
}

pub async fn line(call: Call<LineAt, LineAsked>) -> Result<Reply<LineReport>, Problem> {
    let LineAt { site, machine, .. } = &call.at;
    let address = call.at.address()?;
    let (estate, history, told) = ouncewise_report::line(call.app.store(), &address).await?;
    let Some(standing) = &history.standing else {
        return Err(Problem::missing(
            format!("there is no line `{address}`"),
            "GET /api/v1/week lists lines",
        ));
    };
    let earlier = told.len().saturating_sub(call.asked.last);
    let now = call.app.now();
    let stands = ouncewise_report::stands(call.app.store(), &estate, site, machine, now).await?;
    let stands = stands.into_iter().find(|line| line.address == address);
    Ok(LineReport {
        standing: LineStanding {
            money: line_money(&estate, standing, &history.events, (now, estate.group.units)),
            ..LineStanding::new(standing, estate.group.units)
        },
        stands: stands.and_then(|line| line.report),
        flush: line_flush(&estate, &address, estate.group.units).map(|flush| flush.report),
        allergens: line_allergens(&estate, &address, &history.events),
        charts: None,
        story: told.into_iter().skip(earlier).map(|told| told.event).collect(),
        earlier,
    }
    .into())
}

pub async fn charts(call: Call<LineAt>) -> Result<Reply<ChartsReport>, Problem> {
    let address = call.at.address()?;
    Ok(ouncewise_report::charts_of(call.app.store(), &address).await?.1.into())
}
