//! The command line: what can be asked, with help that teaches.

pub(crate) mod enter;

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::error::ErrorKind;
use clap::{Args, CommandFactory, Parser, Subcommand};
use pacewright_core::parse;
use pacewright_core::test::TestKind;
use pacewright_desk::papers;

const AFTER_HELP: &str = "\
How it fits together:
  Three field tests calibrate a runner: 20 minutes all-out gives the second threshold (LT2),
  40 minutes held at LT1 heart rate gives the first threshold's pace (LT1), 5 minutes all-out gives
  the pace at VO2max. Five zones follow. Every test is repeated 4 to 8 weeks later.

A first week:
  pacewright weekly --demo --out demo-week    see everything with an invented squad
  pacewright roster squad.csv                 add your athletes
  pacewright read testday/                    read a folder of recordings
  pacewright confirm                          accept what is usable, put the zones in force
  pacewright cards --out cards.pdf            a zone card for everyone
  pacewright splits --zone 4 --run \"6 x 1000 m\" --out tuesday.pdf
                                              a session's lap times in pace groups
  pacewright weekly --out week                who needs you, cards, test-day sheet, calendar

Exit status: 0 done, 1 could not (one sentence says what and what to do), 2 wrong usage.

It advises. It never replaces a clinician, local rules or your own eyes: nobody runs all-out who is
not cleared for it, and whoever feels chest pain, faintness or unusual breathlessness stops.";

/// Keeps a running squad training at the right intensities: field tests in, zone cards out.
#[derive(Debug, Parser)]
#[command(name = "pacewright", version, after_help = AFTER_HELP, max_term_width = 100)]
pub(crate) struct Arguments {
    /// Use this library file instead of the default one.
    #[arg(long, global = true, value_name = "FILE", env = "PACEWRIGHT_LIBRARY")]
    pub(crate) library: Option<PathBuf>,

    /// Try it with an invented squad; never touches a library of yours.
    #[arg(long)]
    pub(crate) demo: bool,

    #[command(subcommand)]
    pub(crate) command: Option<Command>,
}

impl Arguments {
    /// A command beside --demo would run on the coach's own library, which the demo never touches.
    ///
    /// # Errors
    /// Both were given: wrong usage.
    pub(crate) fn demo_stands_alone(&self) -> Result<(), clap::Error> {
        if self.demo && self.command.is_some() {
            let why = "--demo stands alone; for the invented squad's papers use weekly --demo";
            return Err(Self::command().error(ErrorKind::ArgumentConflict, why));
        }
        Ok(())
    }
}

/// What can be asked.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Find and judge the test effort in recordings; no library needed.
    Assess(Assess),
    /// Zones from the distances run; no library needed.
    Zones(ZonesOf),
    /// Is a change real? From the distances run before and after; no library needed.
    Compare(Compare),
    /// Add or update athletes from a table.
    Roster(Roster),
    /// Read recordings into the library as tests to confirm.
    Read(Read),
    /// Name a measured course, to count laps of it; lists those named so far.
    Course(Course),
    /// Accept usable tests and put their zones in force.
    Confirm(Confirm),
    /// Enter a race, a laboratory value, the LT1 factor, medication, conditions, or a zone scheme.
    Enter(enter::Enter),
    /// Who is due for which test, and what holds it.
    Due(Due),
    /// Propose who does which test on which date; books nothing.
    Plan(Plan),
    /// Zone cards as a PDF, eight to an A4 sheet with cut marks.
    Cards(Cards),
    /// A session by zone: everyone's lap times in pace groups, as a PDF for the track.
    Splits(Splits),
    /// The week's papers: review, cards, test-day sheet, calendar and tables.
    Weekly(Weekly),
    /// Everything as open files: tables of what was entered, measured and handed out, recordings as FIT or GPX.
    Export(Export),
    /// A copy of the whole library, checked before it counts.
    Backup(Backup),
    /// Put a copy in the library's place; what stood there is kept beside it.
    Restore(Restore),
    /// Look at every row: is everything as it was written?
    Check,
}

#[derive(Debug, Args)]
pub(crate) struct Assess {
    /// GPX, FIT or CSV recordings.
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    /// Which test it should be, in minutes.
    #[arg(long, value_name = "5|20|40", value_parser = test_kind)]
    pub(crate) test: TestKind,
    /// Target heart rate of a 40-minute test, beats per minute.
    #[arg(long, value_name = "BPM", allow_negative_numbers = true, value_parser = number)]
    pub(crate) target_hr: Option<f64>,
    /// How far the effort of the one file went, if it was measured: "5400 m", "13 x 400 + 200",
    /// "13 laps 200 in lane 2", "treadmill 14.5 km/h 1 %". It overrides the recording's distance.
    #[arg(long, value_name = "TEXT")]
    pub(crate) measured: Option<String>,
    /// Print one JSON value and nothing else.
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct ZonesOf {
    /// Metres run in 5 minutes all-out.
    #[arg(long, value_name = "M", allow_negative_numbers = true, value_parser = number)]
    pub(crate) five: Option<f64>,
    /// Metres run in 20 minutes all-out.
    #[arg(long, value_name = "M", allow_negative_numbers = true, value_parser = number)]
    pub(crate) twenty: Option<f64>,
    /// Mean heart rate of the 20 minutes.
    #[arg(long, value_name = "BPM", allow_negative_numbers = true, value_parser = number)]
    pub(crate) twenty_hr: Option<f64>,
    /// Metres run in 40 minutes at LT1 heart rate.
    #[arg(long, value_name = "M", allow_negative_numbers = true, value_parser = number)]
    pub(crate) forty: Option<f64>,
    /// Mean heart rate of the 40 minutes.
    #[arg(long, value_name = "BPM", allow_negative_numbers = true, value_parser = number)]
    pub(crate) forty_hr: Option<f64>,
    /// Maximal heart rate, if it is known.
    #[arg(long, value_name = "BPM", allow_negative_numbers = true, value_parser = number)]
    pub(crate) hr_max: Option<f64>,
    /// Age, used only where the maximal heart rate is not known otherwise.
    #[arg(long, value_name = "YEARS", allow_negative_numbers = true, value_parser = number)]
    pub(crate) age: Option<f64>,
    /// Say of every marker how sure it is and where it comes from.
    #[arg(long)]
    pub(crate) why: bool,
    /// Say which quality is the weakest and what races may take.
    #[arg(long)]
    pub(crate) races: bool,
    /// Print one JSON value and nothing else.
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Compare {
    /// Which test was run, in minutes.
    #[arg(long, value_name = "5|20|40", value_parser = test_kind)]
    pub(crate) test: TestKind,
    /// Metres of the tests before, separated by commas.
    #[arg(
        long,
        value_name = "M",
        allow_negative_numbers = true,
        value_parser = number,
        value_delimiter = ',',
        required = true
    )]
    pub(crate) before: Vec<f64>,
    /// Metres of the tests after, separated by commas.
    #[arg(
        long,
        value_name = "M",
        allow_negative_numbers = true,
        value_parser = number,
        value_delimiter = ',',
        required = true
    )]
    pub(crate) after: Vec<f64>,
    /// Print one JSON value and nothing else.
    #[arg(long)]
    pub(crate) json: bool,
}

/// The columns a roster may have, for the help text.
const ROSTER_HELP: &str = "\
The table is a CSV file with a header row. Columns, in any order; only name is required:
  name                  identity, together with born where two share a name
  squad                 one or more, separated by ;
  born                  2001-04-30
  sex                   female / male
  resting_heart_rate    beats per minute
  max_heart_rate        beats per minute, if it was measured
  medication            yes where it lowers the heart rate, else no
  screening             cleared 2026-03-03 / not asked / hold 2026-10-01
  alias                 other names their files carry, separated by ;
  sensor                strap / wrist
  guardian_consent      the day, for athletes under 18
  notes                 never printed

A cell left empty keeps what the library knows.";

#[derive(Debug, Args)]
#[command(after_help = ROSTER_HELP)]
pub(crate) struct Roster {
    /// The table.
    #[arg(value_name = "FILE.csv")]
    pub(crate) file: PathBuf,
}

#[derive(Debug, Args)]
pub(crate) struct Read {
    /// Recordings, or folders of them.
    #[arg(required = true, value_name = "PATH")]
    pub(crate) paths: Vec<PathBuf>,
    /// Whose they are; else matched by the name or alias in the file's or folder's name.
    #[arg(long, value_name = "NAME")]
    pub(crate) athlete: Option<String>,
    /// Which test they are, in minutes; else by a booking or a marked lap of that length.
    #[arg(long, value_name = "5|20|40", value_parser = test_kind)]
    pub(crate) test: Option<TestKind>,
    /// The day of recordings whose clock has no date (2026-11-25).
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub(crate) day: Option<NaiveDate>,
    /// How far the effort of the one file went, if it was measured; as with assess, or laps of a
    /// course you named: "6 laps of River loop". It overrides the recording's distance.
    #[arg(long, value_name = "TEXT")]
    pub(crate) measured: Option<String>,
    /// Print one JSON value and nothing else.
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Course {
    /// Its name, the length of a lap, track, road or trail, and the slope of a stretch run one way:
    /// "River loop, 850 m, trail", "Dam, 2.5 km, road, -0.4 %".
    #[arg(value_name = "COURSE")]
    pub(crate) course: Option<String>,
}

#[derive(Debug, Args)]
pub(crate) struct Confirm {
    /// Only this athlete's.
    #[arg(long, value_name = "NAME")]
    pub(crate) athlete: Option<String>,
}

#[derive(Debug, Args)]
pub(crate) struct Due {
    /// As if today were this day (2026-11-25).
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub(crate) on: Option<NaiveDate>,
    /// Print one JSON value and nothing else.
    #[arg(long)]
    pub(crate) json: bool,
}

/// What the plan keeps to, for the help text.
const PLAN_HELP: &str = "\
Nobody is planned for who is not cleared, away, or back too short a time after injury or illness. 5-
and 20-minute tests stand 48 hours apart (72 under 16), none in the 7 days before a goal race, none too
soon after a race; the first 40-minute test comes on a later date than the 20-minute test. Within that
the plan places the most it can: first the 20-minute tests of those who have no zones, then overdue,
then never run, then due; then the earliest dates.";

#[derive(Debug, Args)]
#[command(after_help = PLAN_HELP)]
pub(crate) struct Plan {
    /// The dates the squad meets, in order, separated by commas.
    #[arg(long, value_name = "DATE,...", value_parser = day, value_delimiter = ',', required = true)]
    pub(crate) sessions: Vec<NaiveDate>,
    /// How many can be tested on each date.
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = count)]
    pub(crate) capacity: u32,
    /// As if today were this day (2026-11-25).
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub(crate) on: Option<NaiveDate>,
    /// Only this squad's athletes.
    #[arg(long, value_name = "NAME")]
    pub(crate) squad: Option<String>,
    /// Also tests that are fresh today, from the day their window opens.
    #[arg(long)]
    pub(crate) fresh: bool,
    /// Print one JSON value and nothing else.
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Cards {
    /// Only this squad's.
    #[arg(long, value_name = "NAME")]
    pub(crate) squad: Option<String>,
    /// Where to write them.
    #[arg(long, value_name = "FILE.pdf")]
    pub(crate) out: PathBuf,
    /// One card to a page instead of eight to an A4 sheet.
    #[arg(long)]
    pub(crate) single: bool,
    /// Paces per mile.
    #[arg(long)]
    pub(crate) miles: bool,
}

/// What the groups keep to, for the help text.
const SPLITS_HELP: &str = "\
Who shares a group shares one lap time that lies in the zone of each, as their cards show it; there
are as few groups as can be. In zones 3 and 4 the time is a target, from the middle half of each one's
own times; in zone 5 it is the slowest of what is run, in zones 1 and 2, where heart rate leads, a
limit. Whoever is on hold, away, to be asked about their health first, without zones or with zones
out of date stands apart and gets no times.";

#[derive(Debug, Args)]
#[command(after_help = SPLITS_HELP)]
pub(crate) struct Splits {
    /// The zone's number, 1 the easiest.
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = zone)]
    pub(crate) zone: u8,
    /// The repetitions: "6 x 1000 m", "3 x 2 km", "4 x 3 laps", "10 km".
    #[arg(long, value_name = "TEXT", allow_hyphen_values = true)]
    pub(crate) run: String,
    /// The length of a lap; "none" where only the repetition is timed.
    #[arg(long, value_name = "M", default_value = papers::USUAL_LAP)]
    pub(crate) lap: String,
    /// Only this squad's.
    #[arg(long, value_name = "NAME")]
    pub(crate) squad: Option<String>,
    /// The day of the session (2026-11-25); today where none is given.
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub(crate) on: Option<NaiveDate>,
    /// Where to write it.
    #[arg(long, value_name = "FILE.pdf")]
    pub(crate) out: PathBuf,
    /// Paces per mile.
    #[arg(long)]
    pub(crate) miles: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Weekly {
    /// With the invented squad, in a library of its own that is thrown away.
    #[arg(long)]
    pub(crate) demo: bool,
    /// As if today were this day (2026-11-25).
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub(crate) on: Option<NaiveDate>,
    /// The folder for the papers; made if it is not there.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// Paces per mile.
    #[arg(long)]
    pub(crate) miles: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Export {
    /// A new or empty folder.
    #[arg(value_name = "DIR")]
    pub(crate) folder: PathBuf,
}

#[derive(Debug, Args)]
pub(crate) struct Backup {
    /// Where to write the copy; no file may be there yet.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,
}

#[derive(Debug, Args)]
pub(crate) struct Restore {
    /// The copy.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,
}

/// A day, with the one sentence of every day that is typed.
fn day(text: &str) -> Result<NaiveDate, String> {
    parse::day(text).map_err(|wrong| wrong.to_string())
}

/// A number; whether it can be is judged where it is used.
fn number(text: &str) -> Result<f64, String> {
    text.trim().parse().map_err(|_| "that is no number: write digits, 5400 or 172.5".to_owned())
}

fn zone(text: &str) -> Result<u8, String> {
    text.trim().parse().map_err(|_| "that is no zone: write its number, 4".to_owned())
}

fn count(text: &str) -> Result<u32, String> {
    text.trim().parse().map_err(|_| "that is no number of athletes: write digits, 8".to_owned())
}

fn test_kind(text: &str) -> Result<TestKind, String> {
    text.parse()
        .ok()
        .and_then(TestKind::from_minutes)
        .ok_or_else(|| "a test is 5, 20 or 40 minutes".to_owned())
}
