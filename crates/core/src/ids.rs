//! Identities of facts: a type each, so that an athlete's number is never taken for a test's.

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub i64);
    };
}

id! {
    /// An athlete's.
    AthleteId
}
id! {
    /// A squad's.
    SquadId
}
id! {
    /// A recording's.
    RecordingId
}
id! {
    /// A test's.
    TestId
}
id! {
    /// A calibration's.
    CalibrationId
}
id! {
    /// A booking's.
    BookingId
}
id! {
    /// A span away.
    AwayId
}
id! {
    /// A race's.
    RaceId
}
id! {
    /// A laboratory value's.
    LaboratoryId
}
id! {
    /// A span on medication.
    MedicationId
}
id! {
    /// A choice of the first threshold's factor.
    FactorId
}
id! {
    /// What is noted of a test's conditions.
    ConditionsId
}
id! {
    /// A squad's programme.
    ProgrammeId
}
id! {
    /// An athlete's own retest window.
    OwnWindowId
}
