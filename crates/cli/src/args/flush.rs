//! What `ouncewise calc flush` takes.

use clap::Args;

#[derive(Debug, Args)]
#[command(
    override_usage = "ouncewise calc flush --bore <…> --length <…> --flow <…> [OPTIONS]",
    before_help = "\
Examples:
  ouncewise calc flush --bore '6 mm' --length '3 m' --flow '250 mL in 10 s'
  ouncewise calc flush --bore '1/4 in' --length '10 ft' --flow '5 mL/s' \\
      --contents 'syrup 60 Bx' --temperature '5 °C' \\
      --holds-pressure no --top-opens yes --pause '3 min'
  ouncewise calc flush --bore '6 mm' --volume '95 mL' --flow '5 mL/s' \\
      --contents 'chlorine 100 ppm' --profile uk-rinse   # purged
  ouncewise calc flush --bore '6 mm; 9 mm' --length '3 m; 0.5 m' \\
      --fittings '2 x 1.5 mL; 3 mL dead end' --flow '20 mL/s' \\
      --want '1 % at the outlet' --prime 'syrup 60 Bx' --prime-into air
  ouncewise calc flush --flow '5 mL/s' # exit code 1: it says what to measure

All of it is at best: pockets, fittings and what grew on the wall take longer,
and no time shows that a line is clean."
)]
pub struct CalcFlush {
    /// Inner diameter of the tube: `6 mm`, `1/4 in`; of several, in the order of
    /// the flow, parted by `;`, and `?` for one that is not known
    #[arg(long, value_name = "BORE")]
    pub bore: Option<String>,
    /// Its length: `3 m`, `10 ft`; as many as there are bores
    #[arg(long, value_name = "LENGTH")]
    pub length: Option<String>,
    /// What valves, joints and elbows hold, parted by `;`: `4 mL`, `2 x 1.5 mL`,
    /// `2 x ?`, `3 mL dead end`
    #[arg(long, value_name = "FITTINGS")]
    pub fittings: Option<String>,
    /// What the whole line holds, if it was measured; with a bore or a length it
    /// stands for the other
    #[arg(long, value_name = "VOLUME")]
    pub volume: Option<String>,
    /// The flow while flushing: `250 mL in 10 s`, `25 mL/s`
    #[arg(long, value_name = "FLOW")]
    pub flow: Option<String>,
    /// What is in the line: `water`, `syrup 60 Bx`, or a sanitiser by its
    /// strength, to be purged: `chlorine 100 ppm`, `quat 200 ppm`
    #[arg(long, value_name = "CONTENTS", default_value = "water")]
    pub contents: String,
    /// The food code, which forbids or asks a rinse after sanitising: model-code,
    /// california, new-york, uk-rinse, or a profile file
    #[arg(long, value_name = "PROFILE|FILE")]
    pub profile: Option<String>,
    /// The most that is there to move a thick product: `80 kPa`, `1 bar`,
    /// `10 psi`; without it 80 kPa is taken, what a pump can pull
    #[arg(long, value_name = "PRESSURE")]
    pub push: Option<String>,
    /// Temperature at which the portion was set: says what this line's temperature
    /// makes of it
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub set_at: Option<String>,
    /// What holds the product back while it is drawn: tube, screw (both fed by
    /// pressure) or pump; without it all three are told
    #[arg(long, value_name = "WORD")]
    pub held_back: Option<String>,
    /// Temperature of line and water; without it 20 °C is taken
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub temperature: Option<String>,
    /// When it is done: `1 % in the line`, `1 % at the outlet`,
    /// `10 g/L of sugar`, `4 ppm`, `drinking water`; without it `drinking water`
    /// for a sanitiser, else `1 % in the line`
    #[arg(long, value_name = "RESIDUE")]
    pub want: Option<String>,
    /// Whether the line holds pressure: yes, no or unknown
    #[arg(long, value_name = "YES|NO", default_value = "unknown")]
    pub holds_pressure: String,
    /// Whether air can be let in at its highest point: yes, no or unknown
    #[arg(long, value_name = "YES|NO", default_value = "unknown")]
    pub top_opens: String,
    /// The longest pause that there is time for: `3 min`
    #[arg(long, value_name = "DURATION")]
    pub pause: Option<String>,
    /// How long the line takes to drain, if somebody timed it: `8 s`
    #[arg(long, value_name = "DURATION")]
    pub drain: Option<String>,
    /// The product that the line is filled with afterwards: `syrup 60 Bx`, `water`
    #[arg(long, value_name = "PRODUCT")]
    pub prime: Option<String>,
    /// What the line holds when the product comes: `water` or `air`
    #[arg(long, value_name = "WATER|AIR", default_value = "water", requires = "prime")]
    pub prime_into: String,
    /// How much of what comes out may still be something else
    #[arg(long, value_name = "PERCENT", default_value = "1 %", requires = "prime")]
    pub prime_weaker: String,
}
