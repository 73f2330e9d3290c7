//! What can be entered beside the tests.

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::{Args, Subcommand};
use pacewright_core::course::Surface;
use pacewright_core::laboratory::Protocol;
use pacewright_core::markers::MarkerName;
use pacewright_core::physiology::conditions::Ground;
use pacewright_core::test::TestKind;

use super::{day, test_kind};

#[derive(Debug, Args)]
pub(crate) struct Enter {
    #[command(subcommand)]
    pub(crate) what: What,
    /// Put the zones that follow in force; else they are only told.
    #[arg(long, global = true)]
    pub(crate) in_force: bool,
}

#[derive(Debug, Subcommand)]
pub(crate) enum What {
    /// A race or time trial, run or still to come; 3 to 10 km may stand in for a 20-minute test.
    Race(Race),
    /// A marker as a laboratory found it.
    Laboratory(Laboratory),
    /// LT1 heart rate as a share of LT2 heart rate, from a day on.
    Factor(Factor),
    /// A span on medication that lowers the heart rate; never printed.
    Medication(Medication),
    /// Weather, height and ground of a test.
    Conditions(TestConditions),
    /// A zone scheme from a file, and who follows it.
    Scheme(SchemeFile),
}

#[derive(Debug, Args)]
pub(crate) struct Race {
    /// Whose.
    #[arg(long, value_name = "NAME")]
    pub(crate) athlete: String,
    /// The day.
    #[arg(long, value_name = "DATE")]
    pub(crate) on: String,
    /// How far: "5 km", "half marathon".
    #[arg(long, value_name = "D")]
    pub(crate) distance: String,
    /// In what time: 16:30. Left out while it is still to be run.
    #[arg(long, value_name = "TIME", default_value = "")]
    pub(crate) time: String,
    /// What it is called.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub(crate) name: String,
    /// Highest heart rate, if it is known.
    #[arg(long, value_name = "BPM", default_value = "")]
    pub(crate) highest_hr: String,
    /// A goal race: nothing all-out in the week before it.
    #[arg(long)]
    pub(crate) goal: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Laboratory {
    /// Whose.
    #[arg(long, value_name = "NAME")]
    pub(crate) athlete: String,
    /// The day.
    #[arg(long, value_name = "DATE")]
    pub(crate) on: String,
    /// Which marker.
    #[arg(long, value_name = "floor|lt1|lt2|vo2max", value_parser = marker)]
    pub(crate) marker: MarkerName,
    /// Its pace, 4:05, or speed, "14.7 km/h".
    #[arg(long, value_name = "PACE", default_value = "")]
    pub(crate) pace: String,
    /// Its heart rate.
    #[arg(long, value_name = "BPM", default_value = "")]
    pub(crate) hr: String,
    /// How it was found.
    #[arg(long, value_name = "lactate|gas|other", value_parser = protocol)]
    pub(crate) protocol: Protocol,
    /// Treadmill, stages, definition.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub(crate) notes: String,
}

#[derive(Debug, Args)]
pub(crate) struct Factor {
    /// Whose.
    #[arg(long, value_name = "NAME")]
    pub(crate) athlete: String,
    /// From this day on.
    #[arg(long, value_name = "DATE")]
    pub(crate) from: String,
    /// The share in percent, 85 to 100.
    #[arg(long = "factor", value_name = "PERCENT")]
    pub(crate) percent: String,
    /// Why.
    #[arg(long, value_name = "TEXT")]
    pub(crate) reason: String,
}

#[derive(Debug, Args)]
pub(crate) struct Medication {
    /// Whose.
    #[arg(long, value_name = "NAME")]
    pub(crate) athlete: String,
    /// First day.
    #[arg(long, value_name = "DATE")]
    pub(crate) from: String,
    /// Last day; left out while it lasts.
    #[arg(long, value_name = "DATE", default_value = "")]
    pub(crate) to: String,
    /// What and how much.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub(crate) dose: String,
    /// What it is for.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub(crate) reason: String,
}

#[derive(Debug, Args)]
pub(crate) struct TestConditions {
    /// Whose.
    #[arg(long, value_name = "NAME")]
    pub(crate) athlete: String,
    /// Which test, in minutes.
    #[arg(long, value_name = "5|20|40", value_parser = test_kind)]
    pub(crate) test: TestKind,
    /// The day it was run.
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub(crate) on: NaiveDate,
    /// Air temperature, degrees Celsius.
    #[arg(long, value_name = "C", default_value = "", allow_negative_numbers = true)]
    pub(crate) air: String,
    /// Relative humidity, percent.
    #[arg(long, value_name = "PERCENT", default_value = "")]
    pub(crate) humidity: String,
    /// Wet-bulb globe temperature instead, degrees Celsius.
    #[arg(long, value_name = "C", default_value = "", allow_negative_numbers = true)]
    pub(crate) wbgt: String,
    /// Height of the place, metres.
    #[arg(long, value_name = "M", default_value = "", allow_negative_numbers = true)]
    pub(crate) altitude: String,
    /// What was run on.
    #[arg(long, value_name = "track|road|soft|treadmill", value_parser = ground)]
    pub(crate) ground: Option<Ground>,
}

/// How a scheme is written, for the help text.
const SCHEME_HELP: &str = "\
One zone a line, easiest first: its name; the edge above it; what leads.
  Easy; 100 % of LT1; heart rate
  Steady; 97/99 % of LT2; pace
  Fast; ; feel
An edge is a share of the floor, LT1, LT2 or VO2max; two shares are of pace and of heart rate. The
last zone has no edge. Zones that would overlap are refused.";

#[derive(Debug, Args)]
#[command(after_help = SCHEME_HELP)]
pub(crate) struct SchemeFile {
    /// The file with the zones.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,
    /// What the scheme is called.
    #[arg(long, value_name = "NAME")]
    pub(crate) name: String,
    /// This athlete's zones follow it from now on.
    #[arg(long, value_name = "NAME", conflicts_with = "squad")]
    pub(crate) athlete: Option<String>,
    /// This squad's zones follow it from now on.
    #[arg(long, value_name = "NAME")]
    pub(crate) squad: Option<String>,
}

fn marker(text: &str) -> Result<MarkerName, String> {
    match text.to_lowercase().as_str() {
        "floor" => Ok(MarkerName::AerobicFloor),
        "lt1" => Ok(MarkerName::Lt1),
        "lt2" => Ok(MarkerName::Lt2),
        "vo2max" => Ok(MarkerName::Vo2max),
        _ => Err("a marker is floor, lt1, lt2 or vo2max".to_owned()),
    }
}

fn protocol(text: &str) -> Result<Protocol, String> {
    match text.to_lowercase().as_str() {
        "lactate" => Ok(Protocol::Lactate),
        "gas" => Ok(Protocol::GasExchange),
        "other" => Ok(Protocol::Other),
        _ => Err("a protocol is lactate, gas or other".to_owned()),
    }
}

fn ground(text: &str) -> Result<Ground, String> {
    match text.to_lowercase().as_str() {
        "track" => Ok(Ground::Course(Surface::Track)),
        "road" => Ok(Ground::Course(Surface::Road)),
        "soft" => Ok(Ground::Course(Surface::Trail)),
        "treadmill" => Ok(Ground::Treadmill),
        _ => Err("ground is track, road, soft or treadmill".to_owned()),
    }
}
