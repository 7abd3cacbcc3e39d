//! Every diagnostic code, by family:
//! T text and tables, U units, J job, H house, V visit and readings, P plans, W weather,
//! E envelope test, D drafts, ducts and air handler, N network, F fit, Y year, G gate, S store of files.
//! E envelope test, N network, F fit, Y year, G gate, S store of files,
//! X exhaust and ventilation flows, B bills.
//! E envelope test, Z zone, room and fan pressures, C combustion, N network, F fit, Y year, G gate, S store of files.
//! E envelope test, A air exchange by tracer, M moisture, N network, F fit, Y year, G gate, S store of files.
//! R control rules, L live readings and the watch.
//! R control rules, I intake of files and live sources.
//! R control rules, K the keeping store.
//! N from 101 sheets, test-out and letterhead.
//! R control rules, L from 121 the watch.
//! O packing and exchange, S from 101 the practice house.
//! O safety: the hazard screen, the restore list.
//! A test in `report` fails on a code without a text in every language.

use serde::Serialize;

/// A stable code such as `T101`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(transparent)]
pub struct Code(pub &'static str);

impl std::fmt::Display for Code {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.0)
    }
}

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident;)*) => {
        /// Every code there is.
        pub const ALL: &[Code] = &[$(Code(stringify!($name))),*];
        pub(super) mod names {
            use super::Code;
            $($(#[$doc])* pub const $name: Code = Code(stringify!($name));)*
        }
    };
}

codes! {
    /// The file is not well-formed TOML.
    T001;
    /// A key nobody knows here.
    T002;
    /// A key that is needed is missing.
    T003;
    /// A value of the wrong type.
    T004;
    /// A word that is not one of the choices.
    T005;
    /// A table row with the wrong number of columns.
    T006;
    /// A column header without a unit or of an unknown name.
    T007;
    /// A cell that is not a number.
    T008;
    /// A format version this program does not know.
    T009;
    /// A name used twice.
    T010;
    /// A reference to a name that does not exist.
    T011;
    /// A list that is too short.
    T012;
    /// A date or time that cannot be read.
    T013;
    /// Every row of a table has another number of cells than its header.
    T014;
    /// No number where a quantity is needed.
    U001;
    /// A number without its unit.
    U002;
    /// A comma that may mean two things.
    U003;
    /// An unknown unit.
    U004;
    /// A unit of another kind.
    U005;
    /// A range written backwards.
    U006;
    /// A number that is not finite.
    U007;
    /// A value outside what is physically possible.
    U008;
    /// Two currencies in one job.
    U009;
    /// There is no job.toml.
    J101;
    /// A question about the house in a job without one.
    J102;
    /// A job without a visit.
    J103;
    /// Plans without weather.
    J104;
    /// A weather file that is not there.
    J105;
    /// Neither heating nor cooling to set rooms against.
    J120;
    /// No weather to find design days in.
    J121;
    /// A zone whose ceiling is not above its floor.
    H101;
    /// A zone's volume does not fit its floor area and height.
    H102;
    /// Both sides of a passage are the same.
    H103;
    /// A natural-draft appliance without a flue area.
    H104;
    /// An air handler without a register on one side.
    H105;
    /// A zone without a way to outdoors.
    H106;
    /// A fan with outdoors on neither side.
    H107;
    /// A plan that extends itself.
    P101;
    /// A change of the air handler in a house without one.
    P102;
    /// A leak sealed twice in one plan.
    P103;
    /// Set points of heating and cooling that cross.
    P104;
    /// A change of something that the house does not have.
    P105;
    /// A size of another kind of change.
    P106;
    /// Ends of a setting that leave nothing between them.
    P107;
    /// A class of filter that does not exist.
    P108;
    /// A surface whose area nobody wrote.
    P109;
    /// A search of more combinations than can be lived through.
    P110;
    /// A day that an event cannot start on.
    P111;
    /// A state that the thing cannot have.
    V101;
    /// A flow reading that is not above zero.
    V102;
    /// A reading without an instrument.
    V103;
    /// A test fan flow while no test fan runs.
    V104;
    /// A flow of something that is switched off.
    V105;
    /// A visit that found no fuel in a house with an appliance.
    V106;
    /// Flow columns of an envelope test that do not fit its fans.
    V107;
    /// A flow column of another kind than its instrument shows.
    V108;
    /// One instrument for two fans.
    V109;
    /// A fan pressure that no calibration of the fan covers, left out of the fit.
    V110;
    /// Too few readings for a sealing session.
    L101;
    /// A repair outside the record, or too close to the one before.
    L102;
    /// A time of a repair that cannot be read or placed.
    L103;
    /// An exponent outside 0.5 to 1.
    L104;
    /// A reading that cannot be brought to 50 Pa.
    L105;
    /// A comparison that needs two tests that were worked.
    L106;
    /// A criterion that is neither a share nor a flow.
    L107;
    /// A series column whose unit measures something else.
    V201;
    /// More rows of a series with mistakes than are said singly.
    V202;
    /// A series without a row.
    V203;
    /// A series whose first column is not a time.
    V204;
    /// A clock that runs backwards or stands still.
    V205;
    /// A series that is not in the folder of the visit.
    V206;
    /// A column that the series does not have.
    V207;
    /// A station that does not say in which of the fan's ranges it was taken.
    V111;
    /// An instrument without a stated accuracy, whose readings the fit leaves out.
    V112;
    /// A column of ranges of a fan that is not there.
    V113;
    /// The weights of the draws cannot be trusted.
    F101;
    /// The readings do not fit the house as drawn.
    F102;
    /// The fit could not be made.
    F103;
    /// No reading enters the fit.
    F104;
    /// What was written of a thing leaves no room for what the readings say of it.
    F105;
    /// A test fan or a fan would have to blow the other way.
    F106;
    /// A reading was set aside before draws were made.
    F107;
    /// A door was taken to have stood otherwise before draws were made.
    F108;

    // Envelope test.
    /// Fewer usable stations than the procedure needs.
    E101;
    /// A station pressure that is no number a fan test can have.
    E102;
    /// A flow reading that is no number a fan test can have.
    E103;
    /// The sign of a station's pressure contradicts its direction.
    E104;
    /// No baseline, and the gauge has not taken it out.
    E105;
    /// A baseline on one side of the stations only.
    E106;
    /// A baseline reading that is no number a baseline can have.
    E107;
    /// A size of the building that is not above zero.
    E108;
    /// A fan pressure outside the calibration.
    E109;
    /// A raw fan pressure of a range without a calibration.
    E110;
    /// A calibration that cannot be used.
    E111;
    /// Both directions in one table: worked as two runs.
    E112;
    /// 50 Pa was not reached: the result is extrapolated.
    E113;
    /// A flow exponent outside 0.5 to 1.
    E114;
    /// A temperature was not measured.
    E115;
    /// Neither air pressure nor altitude is known.
    E116;
    /// A condition outside what is physically possible.
    E117;
    /// The flow gauge has no stated accuracy.
    E118;
    /// Stations too close together in pressure for an exponent.
    E119;
    /// The two directions disagree beyond their scatter.
    E120;
    /// A station that a one-point procedure does not use.
    E121;
    /// A stated accuracy that is negative or not finite.
    E122;
    /// Several fans, of which only some show flow at reference conditions.
    E123;
    /// A station without one reading for each fan.
    E124;
    /// The pressure gauge has no stated accuracy.
    E125;

    // Zone, room and fan pressures
    /// A state of a zone with fewer than two pressures.
    Z101;
    /// The loop of three pressures does not close.
    Z102;
    /// An opened state with neither a known hole nor flows.
    Z103;
    /// Pressures of one state with signs that contradict each other.
    Z104;
    /// A zone whose pressure is not between those of house and outdoors.
    Z105;
    /// An opening that moved the pressures the wrong way.
    Z106;
    /// A room's pressure that is no number.
    Z107;
    /// No baseline: the pressure that fans moved is not known.
    Z108;
    /// The baseline moved between before and after.
    Z109;
    /// A test without a single reading that can be used.
    Z110;

    // Combustion
    /// No baseline in the appliance zone.
    C101;
    /// Combustion results in a visit that recorded no look for fuel.
    C102;
    /// Combustion results in a visit whose record says that no fuel was found.
    C103;
    /// A level above that of the protocol, not taken.
    C104;
    /// Flue CO whose limit is on the other basis, and no oxygen to convert by.
    C105;
    /// Oxygen in a flue too high to convert by.
    C106;
    /// Two readings of one state.
    C107;
    /// Flue CO read before the burner had run for long enough.
    C108;
    /// The recorded spread, time or count of a station's average is no usable number.
    E126;
    /// No station of a run can be used, all for one reason.
    E127;
    /// Two stations of a run with the same numbers.
    E128;
    /// A limit in air changes, and no volume to divide by.
    E129;

    // Weather
    /// A column that weather needs is missing.
    W101;
    /// A weather column without a unit or with one of another kind.
    W102;
    /// A weather cell that is not a number.
    W103;
    /// A weather value outside what is possible.
    W104;
    /// A weather file that is not a year.
    W105;
    /// A gap too long to interpolate.
    W106;
    /// Short gaps were interpolated.
    W107;
    /// A line about the station is missing or cannot be read.
    W108;
    /// An hour outside the year, or given twice.
    W109;
    /// Gaps filled from the days around.
    W110;
    /// The year, the standard time and the rows left out of a station's record.
    W111;
    /// Values refused by their quality code.
    W112;
    /// Weather without irradiance.
    W113;
    /// Station pressure taken from the standard atmosphere.
    W114;
    /// A date or time that cannot be read.
    W115;
    /// A typical year with other than 8760 rows.
    W116;
    /// A number about the station that cannot be read.
    W117;
    /// A column that a weather format has is missing.
    W118;
    /// Too few hours of particles.
    W119;
    /// Gaps of particles filled.
    W120;

    // Year
    /// The numbers of a house do not fit together.
    Y101;
    /// The house's network cannot be made.
    Y102;
    /// The flows of one step were not found.
    Y103;
    /// The inner step does not divide an hour.
    Y104;
    /// A picked day that is not one of the year.
    Y105;
    /// Weather without hours.
    Y106;
    /// The run was stopped.
    Y107;
    /// The books do not close.
    Y110;
    /// Steps were halved.
    Y111;
    /// Condensation had not settled in some steps.
    Y112;
    /// The heating set point was missed.
    Y113;
    /// The cooling set point was missed.
    Y114;

    // Air exchange by tracer
    /// Too few readings for a rate.
    A101;
    /// Readings at or below the background, left out.
    A102;
    /// The gas does not fall.
    A103;
    /// The gas does not rise.
    A104;
    /// A record too short or too straight to tell where it ends.
    A105;
    /// Neither points nor a series, or both.
    A106;
    /// A steady level that is not above the background.
    A107;
    /// Nothing says how much gas is given off.
    A108;
    /// A room without a volume.
    A109;
    /// Two rooms that no exchange fits.
    A110;
    /// A start or end that is not in the record.
    A111;
    /// No background, and none that the record tells.
    A112;
    /// A reading that is no concentration, left out.
    A113;
    /// A time that is not after the one before, left out.
    A114;
    /// No decay found in a long record.
    A115;
    /// A series of several columns, and none named.
    A116;
    /// A pair of rooms that is not two columns.
    A117;

    // Moisture
    /// Too few readings.
    M101;
    /// A value outside what is possible, left out.
    M102;
    /// A series with gaps, which were left out.
    M103;
    /// A reference of another material.
    M104;
    /// Indoors and outdoors too alike for a comparison.
    M105;
    /// A wood reading that the named correction takes out of the possible.
    M106;
    /// A spot without both readings, left out.
    M107;

    // Drafts of a phone
    /// A question that cannot be read.
    D101;
    /// A folder without an envelope test.
    D102;
    /// A sheet without a date.
    D103;
    /// Half a station.
    D104;
    /// A folder that holds more than a draft can.
    D105;

    // Ducts and air handler
    /// A flow reading that no flow follows from.
    D201;
    /// An earlier test that gives no such figure.
    D202;
    /// A point of a duct test whose pressure or flow contradicts its direction.
    D203;
    /// Leakage to outdoors without the house's pressure.
    D204;
    /// A run of a duct test without a usable point.
    D205;
    /// A flow exponent of ducts outside 0.5 to 1.
    D206;
    /// A pan that reads more than the zone of its duct.
    D207;
    /// Pans read while the handler ran.
    D208;
    /// The tap at the end of the rated box is missing.
    D209;
    /// A static pressure whose sign cannot be.
    D210;
    /// Traverse lines that do not fit the rule.
    D211;
    /// A temperature rise that is none.
    D212;
    /// A state of air at a coil that cannot be.
    D213;
    /// Duct leakage beyond the handler's flow.
    D214;
    // Exhaust and ventilation flows
    /// A fan flow without a reading above zero.
    X101;
    /// A hood that holds as much pressure as the fan gives.
    X102;
    /// A way of measuring that lacks one of its readings.
    X103;
    /// A test of this name that has no such result.
    X104;
    /// A flow instrument whose display is no flow of the air there.
    X105;
    /// A record too short for its settled part.
    X111;
    /// A ventilation rule that needs a size nobody told.
    X121;
    /// A schedule that cannot be.
    X122;
    /// Infiltration or tightness asked without an envelope test.
    X131;
    /// Infiltration asked without the weather.
    X132;
    /// A depressurisation limit that is not told.
    X133;

    // Bills
    /// A bill of no sensible length.
    B101;
    /// A use that is no number or below zero.
    B102;
    /// A bill without outdoor temperature.
    B103;
    /// A fuel without a usable bill.
    B104;
    /// Bills without a fuel.
    B105;
    /// Fuel by volume without its heat content.
    B106;
    /// Bills by days without the day they start on.
    B107;

    // Passages with parts
    /// A fan curve whose flow rises with the pressure.
    H111;
    /// Points that make no fan curve.
    H112;
    /// A part in the line of two, or in a line and on its own.
    H113;
    /// A stack whose top is not above its bottom.
    H114;
    /// A part that stands nowhere.
    H115;
    /// A fan in a line without a curve.
    H116;

    // The clock on the wall
    /// A door with spans and with words for day and night.
    H117;
    /// A time zone that nobody knows.
    J106;
    /// A visit whose date is not that of its folder.
    J107;
    /// A visit dated after today.
    J108;
    /// A document that nothing reads.
    J109;
    /// No test to work.
    J110;

    // Next reading
    /// A question that nobody can answer here.
    F111;
    /// A job without draws: there is nothing to ask.
    F112;
    /// The plans are asked about and no years were lived.
    F113;
    /// No reading bears on the question.
    F114;
    /// The plans are asked about and one of them is best in every draw.
    F115;
    /// A reading that is taken with a usual slip undone.
    F116;
    /// Limits that rest on few draws.
    F117;
    /// A hole that is larger than the door it is in.
    F118;
    // Control rules
    /// A condition that is no CEL.
    R101;
    /// A signal that the house does not have.
    R102;
    /// Quantities that cannot meet.
    R103;
    /// A part of CEL that rules do not use.
    R104;
    /// A number where a condition is needed.
    R105;
    /// A condition where a number is needed.
    R106;
    /// A number without its unit.
    R107;
    /// A written quantity whose kind nothing tells.
    R108;
    /// An equality of measured values.
    R109;
    /// A whole number in a sum.
    R110;
    /// A device that the house does not have.
    R111;
    /// A second table of what is owed.
    R112;
    /// A least time beyond the most.
    R113;
    /// A lock-out on outdoor relative humidity.
    R114;
    /// A lock-out that leaves nothing.
    R115;
    /// A debt without what is owed.
    R116;
    /// A rule that can never act.
    R117;
    /// A rule that always acts.
    R118;
    /// A rule that never ends.
    R119;
    /// Conditions to start and to end that hold together.
    R120;
    /// Two rules that fight over a device.
    R121;
    /// Two rules that let a device rest differently.
    R122;
    /// A rule that would set a safety exhaust.
    R123;
    /// A condition too deep or too long.
    R124;
    /// Two rules of one name.
    R125;
    /// A job without rules.
    R126;
    /// Command without a schedule in the device.
    R131;
    /// Command without a heartbeat.
    R132;
    /// Command whose loss does not return to ventilating.
    R133;
    /// Command of what a flue could feel, without a recorded permission.
    R134;
    /// A column of a series that is no signal.
    R141;
    /// A series without a column that a rule reads.
    R142;
    // Plans and rules in the year
    /// A blower whose stated limits lie below its working point.
    R143;
    /// Drops of filter and return beyond what the blower makes.
    R144;
    /// A stated filter drop in a house that knows no blower.
    R145;
    /// A weather file whose hours are not those of the job's time zone.
    R147;
    /// Bills and model disagree.
    R149;
    /// Bills that say nothing about a plan's energy.
    R150;
    // Live sources: watch.toml.
    /// A unit that does not measure a source's quantity.
    L131;
    /// A source that arrives by two ways or by none.
    L132;
    /// A secret in the document.
    L133;
    /// A secret kept in two places.
    L134;
    /// A topic or a filter of topics that is none.
    L135;
    /// A broker that is not there.
    L136;
    /// A source that is posted where nothing listens.
    L137;
    /// An address without host or port.
    L138;
    /// Two sources of one value.
    L139;
    /// Listening to the whole world.
    L140;
    /// Listening without a token.
    L141;
    /// A password in the open.
    L142;
    /// An address of the web that cannot be used.
    L143;
    /// A mail address that is none.
    L144;
    /// Mail in the open.
    L145;
    /// A row with another number of cells than the header.
    I101;
    /// A cell that is no number.
    I102;
    /// A time that is not written as the mapping says.
    I103;
    /// A local time that did not exist.
    I104;
    /// A line, message or name that is too long.
    I105;
    /// A quote that does not close.
    I106;
    /// A message that is no JSON.
    I107;
    /// A message without what the mapping asks for.
    I108;
    /// A formula in the place of a number.
    I109;
    /// Bytes that are no text.
    I110;
    /// A SenML record or pack against RFC 8428.
    I111;
    /// A BTHome payload that is encrypted.
    I112;
    /// A BTHome payload that cannot be read.
    I113;
    /// A text where a reading should be.
    I114;
    /// A record without a column in the mapping.
    I115;
    /// A row whose time is not after the row before.
    I116;
    /// More rejects of a kind.
    I117;
    /// A mapping without columns.
    I118;
    /// A clock that nobody knows.
    I119;
    /// A unit that does not measure the column's quantity.
    I120;
    /// A column's name with letters that a series cannot hold.
    I121;
    /// A derived column made from one that is not there.
    I122;
    /// Not two values where two are needed.
    I123;
    /// Values that cannot be in the unit of the mapping.
    I124;
    /// A column of the mapping that the file does not have.
    I125;
    /// A file in which nothing was recognised.
    I126;
    /// A file without a time.
    I127;
    /// A file without readings of a known kind.
    I128;
    /// A question that is open.
    I129;
    /// A file that would be overwritten.
    I130;
    /// A zone that the house does not have.
    I131;
    /// Doubts about a column.
    I132;
    /// The offset between two clocks.
    I133;
    /// No offset between two clocks could be told.
    I134;
    /// A series too long for a job.
    I135;
    /// A file without a row that can be read.
    I136;
    /// An answer that is none.
    I137;
    /// No visit to put a series beside.
    I138;
    /// Times on one offset over a change of the clock.
    I139;
    /// A test-out is not after the visit it is held against.
    N101;
    /// The limit of a complaint was agreed after the test-out that it is held against.
    N102;
    /// Nobody wrote down when the limit of a complaint was agreed.
    N103;
    /// Two letterheads.
    N104;
    /// A sheet that cannot be made, and what it lacks.
    N105;
    /// Readings from before the work are left out of what is said of the house now.
    N106;
    /// A file that is no store.
    K101;
    /// There is no store.
    K102;
    /// A store of a newer program.
    K103;
    /// A damaged store.
    K104;
    /// More readings than the writer takes.
    K105;
    /// The disk does not take it.
    K106;
    /// The writer of the store has ended.
    K107;
    /// Another program holds the store.
    K108;
    /// No such job in the store.
    K109;
    /// A job that was erased.
    K110;
    /// No such document in a job of the store.
    K111;
    /// No such revision.
    K112;
    /// Nothing to take back or to settle.
    K113;
    /// A path that leads out of the job.
    K114;
    /// An edit that does not fit.
    K115;
    /// No such source.
    K116;
    /// A source that was told otherwise before.
    K117;
    /// A unit that does not fit the quantity of a source.
    K118;
    /// A folder that did not come from the job.
    K119;
    /// A file or folder that cannot be read or written.
    K120;
    /// What the database says otherwise.
    K121;
    /// Files of a folder that were left out.
    K130;
    /// An attachment whose name is not its hash.
    K131;
    /// A field that two people changed.
    K132;
    /// What could not be saved of a damaged store.
    K133;
    /// What a check of the store found.
    K134;
    /// An erasure does not reach copies.
    K135;
    // The server of a desk.
    /// A code that lets nobody join.
    K150;
    /// Too many requests or tries.
    K151;
    /// A device that is not joined.
    K152;
    /// A request from another site, or for another host.
    K153;
    /// A request that cannot be read.
    K154;
    /// More than the desk takes.
    K155;
    /// A name that cannot be one.
    K156;
    /// More at once than the desk does.
    K157;
    /// No such task.
    K158;
    /// Nothing there.
    K159;
    /// No such device.
    K160;
    /// An address outside of the local network.
    K161;
    /// A certificate or key that cannot be used.
    K162;
    /// No address of this machine was found.
    K163;
    // Live, watch and alerts.
    /// A column that is no trace of this house.
    L121;
    /// A series for the watch without dates.
    L122;
    /// A watch without any series.
    L123;
    /// A watch without a fitted house.
    L124;
    /// A device of a filter that the house does not have.
    L125;
    /// The watch could not step the house.
    L126;
    /// A secret that is not where the document says.
    L146;
    /// An address that cannot be listened at.
    L147;
    /// A way in that cannot be opened otherwise.
    L148;

    // Findings.
    /// A finding that reads quantities of things of two kinds.
    Q101;
    /// Two findings of one name.
    Q102;
    /// Something seen that names what it is of where there is one only, or does not where there are several.
    Q103;
    /// A limit of something that is true or false.
    Q104;
    /// A pattern that one quantity is enough for, with a contrary in it.
    Q105;
    /// A quality rule that spoils nothing, or another rule that does.
    Q106;
    /// A setup line that is not `quantity: state`.
    Q107;

    // Packing and exchange.
    /// Files that a pack left out.
    O140;
    /// Nothing readable in a pack.
    O141;
    /// A file of a pack that is lost.
    O142;
    /// A pack without its list of checksums.
    O143;
    /// An entry of a pack that was refused.
    O144;
    /// A file of a pack that is kept in part, beside the documents.
    O145;
    /// A pack of a newer format.
    O146;
    /// A pack whose table of contents is damaged.
    O147;
    /// What the form of an export has no place or no unit for.
    O148;
    /// Nothing to export in this form.
    O149;
    // The practice house.
    /// A practice house whose document cannot be used.
    S101;
    /// A folder that is no practice job.
    S102;
    /// A record whose seal is broken.
    S103;
    /// A reading in words that nobody understands.
    S104;
    /// A reading that the time left does not allow.
    S105;
    /// A reading that cannot be taken in this house.
    S106;
    /// A practice job that was revealed already.
    S107;
    /// A cause in a diagnosis that is not on the list.
    S108;
    /// A practice job without an answer.
    S109;
    /// A practice house of an unknown name.
    S110;
    /// A scope that cannot be lived through in the true house.
    S111;
    /// Bytes that a device sends as a photo and that are none, or not those of their name.
    K190;
    // Photos in a document that leaves.
    /// A photo that is not there, or cannot be shown.
    S112;
    /// A photo whose bytes are not those that its name says.
    S113;
    // Safety: the hazard screen, what it forbids, what has to be put back.
    /// Fuel among the hazards, which has a table of its own.
    O101;
    /// A photo that is not among the job's files.
    O102;
    /// A test that was taken against the hazard screen.
    O103;
    /// The hazard screen says stop.
    O104;
    /// Something put back that is not on the restore list.
    O105;
    /// A visit closed with something not put back.
    O106;
    /// Combustion that has to be tested again after work.
    O107;
    // Sheets as PDF.
    /// Letters that no font of the PDF has.
    K180;
    /// A PDF with tags that is short of the standard of accessible PDF.
    K181;
    /// A sheet that could not be set as PDF.
    K182;
    /// A logo of another kind, or from elsewhere.
    K183;
    /// A logo that cannot be shown.
    K184;
}
