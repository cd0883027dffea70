//! What `calc strength` takes.

use clap::Args;

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise calc strength --profile model-code --chemistry isocyanurate \\
      --label-strength '100 to 200 ppm' --label-contact '60 s' \\
      --product '1.7 g of 56 %' --dose '1 sachet' --water '2 gal (US)' \\
      --temperature '75 °F' --ph 7 \\
      --strips 'chlorine 10 50 100 200' --bucket '100 ppm'
  ouncewise calc strength --profile california --chemistry quat-multi \\
      --label-strength '200 ppm' --label-contact '60 s' \\
      --product '30 mL in 15 L gives 200 ppm' --dose '20 mL' --water '10 L' \\
      --temperature '24 °C' --hardness '200 mg/L' \\
      --strips 'quat-multi 100 200 400' --bucket '200 ppm'
  ouncewise calc strength --profile model-code --hot-water '171 °F' \\
      --contact '30 s'

The label and the code must both hold. Without a label, or without a row of the
code, nothing is covered, and the answer is no.")]
pub struct CalcStrength {
    /// The rules: model-code, california, new-york, uk-rinse, or a profile file
    #[arg(long, value_name = "FILE|ID")]
    pub profile: String,
    /// What the active is: hypochlorite, isocyanurate, other-chlorine, iodine,
    /// quat-single, quat-multi, quat-unstated, other
    #[arg(long, value_name = "WORD")]
    pub chemistry: Option<String>,
    /// What the label allows on surfaces that touch food: `100 to 200 ppm`, or its one dilution
    #[arg(long, value_name = "STRENGTH")]
    pub label_strength: Option<String>,
    /// The label's contact time: `60 s`
    #[arg(long, value_name = "TIME")]
    pub label_contact: Option<String>,
    /// The coldest solution that the label allows
    #[arg(long, value_name = "TEMPERATURE")]
    pub label_temperature: Option<String>,
    /// The highest pH at which the label says that it works
    #[arg(long, value_name = "PH")]
    pub label_ph: Option<String>,
    /// The hardest water that the label allows: `500 mg/L`, `30 gpg`
    #[arg(long, value_name = "HARDNESS")]
    pub label_hardness: Option<String>,
    /// What the label says of a rinse after sanitising: asks, forbids, silent
    #[arg(long, value_name = "WORD")]
    pub label_rinse: Option<String>,
    /// What a quat is made of, each as the code names it with its share: `NAME 60 %; NAME 40 %`
    #[arg(long, value_name = "SHARES")]
    pub components: Option<String>,
    /// The label's own signal word, as it stands there
    #[arg(long, value_name = "WORD")]
    pub signal_word: Option<String>,
    /// How strong the product is: `1.7 g of 56 %` or `0.95 g available` in a piece, `56 % dry`,
    /// `5.25 % hypochlorite`, `5 % available`, `5.4 % trade`, `100000 mg/L`,
    /// `30 mL in 15 L gives 200 ppm`
    #[arg(long, value_name = "PRODUCT")]
    pub product: Option<String>,
    /// Density of a liquid product: `1.08 g/mL`
    #[arg(long, value_name = "DENSITY")]
    pub density: Option<String>,
    /// What went in: `1 sachet`, `3 tablets`, `30 mL`, `1.7 g`
    #[arg(long, value_name = "DOSE")]
    pub dose: Option<String>,
    /// The water that it was made up to: `10 L`, `2.5 gal (US)`
    #[arg(long, value_name = "VOLUME")]
    pub water: Option<String>,
    /// How it is put on: immersed (also run through a line), or swabbed
    #[arg(long, value_name = "WORD")]
    pub applied: Option<String>,
    /// Temperature of the solution
    #[arg(long, value_name = "TEMPERATURE")]
    pub temperature: Option<String>,
    /// Its pH
    #[arg(long, value_name = "PH")]
    pub ph: Option<String>,
    /// Hardness of the water: `250 mg/L`, `15 gpg`, `14 °dH`, `25 °fH`
    #[arg(long, value_name = "HARDNESS")]
    pub hardness: Option<String>,
    /// What the strips read, and the numbers of their card: `chlorine 10 50 100 200`
    #[arg(long, value_name = "STRIPS")]
    pub strips: Option<String>,
    /// The class read in the bucket: `100 ppm`
    #[arg(long, value_name = "CLASS")]
    pub bucket: Option<String>,
    /// The class read at the outlet
    #[arg(long, value_name = "CLASS")]
    pub outlet: Option<String>,
    /// The last day of the strips: `2027-03-31`
    #[arg(long, value_name = "DATE")]
    pub strips_expire: Option<String>,
    /// The last day of the product
    #[arg(long, value_name = "DATE")]
    pub product_expires: Option<String>,
    /// Judge expiries as on this day; without it, today
    #[arg(long, value_name = "DATE")]
    pub today: Option<String>,
    /// How far off the dose may be, 19 times in 20: `5 %`
    #[arg(long, value_name = "PERCENT")]
    pub dose_error: Option<String>,
    /// How far off the product's own strength may be, at most
    #[arg(long, value_name = "PERCENT")]
    pub assay_error: Option<String>,
    /// How far off the water may be, 19 times in 20
    #[arg(long, value_name = "PERCENT")]
    pub water_error: Option<String>,
    /// How long it stayed, from when the strip at the outlet agreed with the bucket: `60 s`
    #[arg(long, value_name = "TIME")]
    pub contact: Option<String>,
    /// How long the bucket stood since it was mixed: `8 h`
    #[arg(long, value_name = "TIME")]
    pub stood: Option<String>,
    /// What was done, in its order: `washed, rinsed, sanitised, drained, served`;
    /// also `washed with sanitiser`, `handled`
    #[arg(long, value_name = "ACTS")]
    pub did: Option<String>,
    /// Hot water instead of a solution: its temperature, with its time as --contact
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub hot_water: Option<String>,
}
