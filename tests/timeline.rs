//! Order and times: worked by hand, by property, and through the calendar.
//!
//! Sources are named beside each check ("references" is the list of facts in docs); "common
//! practice" has none.

use cavigram::finding::Severity;
use cavigram::materials::{RoomTimes, ten_degree_factor};
use cavigram::timing::{
    Clock, Event, EventCode, Pour, PourKind, TaskCode, Timeline, TimelineRequest, TimingError,
    timeline,
};
use cavigram::units::{Hours, Start};
use jiff::SignedDuration;
use jiff::civil::{DateTime, date};
use proptest::prelude::*;

const SLACK: f64 = 1e-6;

/// Times of a firm urethane in minutes, all known: working, gel, bond from, bond until, demould,
/// full cure.
fn times(minutes: [f64; 6]) -> RoomTimes {
    let [working, gel, from, until, demould, cure] = minutes.map(Some);
    RoomTimes {
        working_minutes: working,
        gel_minutes: gel,
        bond_from_minutes: from,
        bond_until_minutes: until,
        demould_minutes: demould,
        full_cure_minutes: cure,
        warmth_factor: 1.0,
        softener_factor: 1.0,
        sheet_c: 23.0,
    }
}

fn pour(name: &str, kind: PourKind, batches: u32, work: [f64; 3], minutes: [f64; 6]) -> Pour {
    let [mixing_minutes, degassing_minutes, applying_minutes] = work;
    Pour {
        name: name.to_owned(),
        system: "s".to_owned(),
        kind,
        foam: false,
        batches,
        mixing_minutes,
        degassing_minutes,
        applying_minutes,
        times: times(minutes),
    }
}

fn request(pours: Vec<Pour>) -> TimelineRequest {
    TimelineRequest {
        pours,
        reserve: 0.2,
        release_minutes: 15.0,
        start: Start::Unsaid,
        hours: None,
        castings: 1,
        moulds: 1,
    }
}

const FIRM: [f64; 6] = [15.0, 40.0, 40.0, 180.0, 960.0, 7200.0];
/// Gels after an hour, and bonds for four.
const SOFT: [f64; 6] = [15.0, 60.0, 60.0, 240.0, 1200.0, 10_080.0];

/// Two coats, a core in two batches, a cap.
fn worked() -> TimelineRequest {
    request(vec![
        pour("coat 1", PourKind::Coat, 1, [3.0, 0.0, 5.0], FIRM),
        pour("coat 2", PourKind::Coat, 1, [3.0, 4.0, 5.0], FIRM),
        pour("core", PourKind::Core, 2, [3.0, 4.0, 2.0], SOFT),
        pour("cap", PourKind::Cap, 1, [3.0, 0.0, 1.0], FIRM),
    ])
}

fn starting(start: &str, request: TimelineRequest) -> TimelineRequest {
    TimelineRequest { start: start.parse().unwrap(), ..request }
}

fn within(hours: &str, request: TimelineRequest) -> TimelineRequest {
    TimelineRequest { hours: Some(hours.parse().unwrap()), ..request }
}

fn find<'a>(timeline: &'a Timeline, code: EventCode, pour: &str, batch: Option<u32>) -> &'a Event {
    let named = |e: &&Event| e.pour.as_deref().unwrap_or("") == pour && e.batch == batch;
    let found = timeline.events.iter().filter(|e| e.code == code).find(named);
    found.unwrap_or_else(|| panic!("no {code:?} of {pour:?} in {:#?}", timeline.events))
}

fn minutes(timeline: &Timeline, code: EventCode, pour: &str, batch: Option<u32>) -> f64 {
    find(timeline, code, pour, batch).at.unwrap().minutes
}

fn codes(timeline: &Timeline) -> Vec<&str> {
    timeline.findings.iter().map(|f| f.code).collect()
}

#[test]
fn a_piece_worked_by_hand() {
    use EventCode::*;
    let t = timeline(&worked()).unwrap();
    // Release on at 0, dry at 15. Coat 1: mixed 15–18, brushed 18–23; by 15 + 15 × 0.8 = 27.
    // It gels and bonds from 15 + 40 = 55 to 15 + 180 = 195.
    // Coat 2: mixed and degassed 55–62, brushed 62–67; by 67. It bonds from 95 to 235.
    // Core: batches from 95 and from 104, the second laid by 113; by 107 and 116.
    // It carries the cap from 104 + 60 = 164. The cap bonds until the skin's edge no longer does,
    // at 235, before the core's own end at 95 + 240 = 335.
    // Cap: mixed 164–167, poured 167–168.
    // Out: the latest of 15 + 960, 55 + 960, 104 + 1200 and 164 + 960: 1304.
    // Cured: the latest of 7215, 7255, 104 + 10 080 and 7364: 10 184.
    for (code, pour, batch, expected) in [
        (ReleaseOn, "", None, 0.0),
        (ReleaseDry, "", None, 15.0),
        (Mixing, "coat 1", Some(1), 15.0),
        (Brush, "coat 1", Some(1), 18.0),
        (BrushBy, "coat 1", Some(1), 27.0),
        (CoatWindow, "coat 2", None, 55.0),
        (GelCheck, "coat 2", None, 55.0),
        (Mixing, "coat 2", Some(1), 55.0),
        (Brush, "coat 2", Some(1), 62.0),
        (BrushBy, "coat 2", Some(1), 67.0),
        (CoreWindow, "core", None, 95.0),
        (GelCheck, "core", None, 95.0),
        (Mixing, "core", Some(1), 95.0),
        (Pour, "core", Some(1), 102.0),
        (PourBy, "core", Some(1), 107.0),
        (Mixing, "core", Some(2), 104.0),
        (Pour, "core", Some(2), 111.0),
        (PourBy, "core", Some(2), 116.0),
        (CapWindow, "cap", None, 164.0),
        (GelCheck, "cap", None, 164.0),
        (Mixing, "cap", Some(1), 164.0),
        (Pour, "cap", Some(1), 167.0),
        (PourBy, "cap", Some(1), 176.0),
        (Demould, "", None, 1304.0),
        (FullCure, "", None, 10_184.0),
    ] {
        assert_eq!(minutes(&t, code, pour, batch), expected, "{code:?} of {pour}");
    }
    assert_eq!(t.events.len(), 25);
    for (code, pour, until) in
        [(CoatWindow, "coat 2", 195.0), (CoreWindow, "core", 235.0), (CapWindow, "cap", 235.0)]
    {
        let window = find(&t, code, pour, None);
        assert_eq!((window.until.unwrap().minutes, window.kept), (until, Some(true)), "{pour}");
    }
    assert_eq!(t.attended_minutes, Some(168.0));
    assert_eq!(codes(&t), [""; 0]);
    assert_eq!(find(&t, CapWindow, "cap", None).at.unwrap().to_string(), "+2:44");
    let in_order =
        t.events.windows(2).all(|e| e[0].at.unwrap().minutes <= e[1].at.unwrap().minutes);
    assert!(in_order);
}

#[test]
fn a_core_that_gels_for_hours_misses_the_skin_s_edge() {
    // Softened, the core gels for four hours: at 104 + 240 = 344, but the edge bonds until 235.
    let mut request = worked();
    request.pours[2].times = times([15.0, 240.0, 240.0, 600.0, 1200.0, 10_080.0]);
    let t = timeline(&request).unwrap();
    let window = find(&t, EventCode::CapWindow, "cap", None);
    assert_eq!((window.at.unwrap().minutes, window.until.unwrap().minutes), (344.0, 235.0));
    assert_eq!(window.kept, Some(false));
    assert_eq!(codes(&t), ["cap-window-missed"]);
    let finding = &t.findings[0];
    assert_eq!(finding.severity, Severity::Warning);
    for words in ["+5:44", "+3:55", "the skin's edge"] {
        assert!(finding.message.contains(words), "{}", finding.message);
    }
    let hint = finding.hint.as_deref().unwrap();
    for words in ["afresh", "abrade and prime", "less softener"] {
        assert!(hint.contains(words), "{hint}");
    }
    // Without a skin there is no edge: the core's own window holds.
    let bare = timeline(&TimelineRequest { pours: request.pours.split_off(2), ..request }).unwrap();
    assert_eq!(find(&bare, EventCode::CapWindow, "cap", None).kept, Some(true));
}

#[test]
fn what_takes_longer_than_its_working_time_is_told() {
    let mut request = worked();
    request.pours[0].applying_minutes = 10.0;
    let t = timeline(&request).unwrap();
    assert_eq!(find(&t, EventCode::BrushBy, "coat 1", Some(1)).kept, Some(false));
    assert_eq!(codes(&t), ["working-time-too-short"]);
    assert!(t.findings[0].message.contains("13 min") && t.findings[0].message.contains("12 min"));
}

#[test]
fn a_pour_that_ends_after_the_window_is_told() {
    // Twenty batches of 9 min from 95 on end at 275; coat 2 bonds until 235.
    let mut request = worked();
    request.pours[2].batches = 20;
    request.pours[2].times.bond_until_minutes = Some(2000.0);
    let t = timeline(&request).unwrap();
    assert_eq!(find(&t, EventCode::CoreWindow, "core", None).kept, Some(false));
    assert_eq!(codes(&t), ["window-missed", "cap-window-missed"]);
    // Each batch alone on the one before, which bonds for a quarter of an hour only.
    let mut request = worked();
    request.pours[2].times.bond_until_minutes = Some(15.0);
    assert!(codes(&timeline(&request).unwrap()).contains(&"window-missed"));
}

#[test]
fn what_no_sheet_tells_is_left_open() {
    let mut request = worked();
    request.pours[2].times.gel_minutes = None;
    request.pours[2].times.bond_from_minutes = None;
    request.pours[0].times.bond_until_minutes = None;
    request.pours[1].times.working_minutes = None;
    let t = timeline(&request).unwrap();
    // The cap waits for a gel that nothing tells of: no number is invented.
    let window = find(&t, EventCode::CapWindow, "cap", None);
    assert_eq!((window.at, window.kept), (None, None));
    assert_eq!(find(&t, EventCode::Mixing, "cap", None).at, None);
    // An end that isn't known isn't claimed to be kept.
    assert_eq!(find(&t, EventCode::CoatWindow, "coat 2", None).kept, None);
    assert_eq!(find(&t, EventCode::BrushBy, "coat 2", Some(1)).at, None);
    assert_eq!((t.attended_minutes, t.end), (None, None));
    assert_eq!(codes(&t), ["time-unknown"]);
    let message = &t.findings[0].message;
    for words in ["`s`", "gel time", "working time", "end of its bond window"] {
        assert!(message.contains(words), "{message}");
    }
    assert_eq!(t.findings[0].severity, Severity::Note);
    // What stands without a time stays in the order of the work.
    let order: Vec<_> = t.events.iter().map(|e| e.code).collect();
    let place = |code| order.iter().position(|c| *c == code).unwrap();
    assert!(place(EventCode::CoreWindow) < place(EventCode::CapWindow));
    assert!(place(EventCode::CapWindow) < place(EventCode::FullCure));
}

#[test]
fn a_foam_takes_a_lid_and_no_cap() {
    let mut request = worked();
    request.pours[2].foam = true;
    let t = timeline(&request).unwrap();
    assert_eq!(minutes(&t, EventCode::CloseLid, "core", None), 113.0);
    assert!(t.events.iter().all(|e| e.pour.as_deref() != Some("cap")));
    assert_eq!(codes(&t), ["no-cap-on-foam"]);
}

#[test]
fn the_clock_goes_through_midnight_month_ends_and_leap_days() {
    let t = timeline(&starting("2028-02-28 23:30", worked())).unwrap();
    let clock = |code, pour| find(&t, code, pour, None).at.unwrap().clock;
    assert_eq!(clock(EventCode::ReleaseOn, ""), Clock::At(date(2028, 2, 28).at(23, 30, 0, 0)));
    assert_eq!(clock(EventCode::CoreWindow, "core"), Clock::At(date(2028, 2, 29).at(1, 5, 0, 0)));
    // 23:30 and 1304 min.
    assert_eq!(clock(EventCode::Demould, ""), Clock::At(date(2028, 2, 29).at(21, 14, 0, 0)));
    // 10 184 min are 7 d 1 h 44 min.
    assert_eq!(clock(EventCode::FullCure, ""), Clock::At(date(2028, 3, 7).at(1, 14, 0, 0)));

    let t = timeline(&starting("23:30", worked())).unwrap();
    assert_eq!(
        find(&t, EventCode::CoreWindow, "core", None).at.unwrap().to_string(),
        "01:05 of day 2"
    );
    let end = timeline(&starting("9999-12-31 09:00", worked()));
    assert_eq!(end, Err(TimingError::BeyondCalendar));
}

#[test]
fn the_latest_start_keeps_the_hours_and_a_minute_later_does_not() {
    let day = |start| timeline(&within("08:00-18:00", starting(start, worked()))).unwrap();
    // 168 min before 18:00.
    let t = day("2026-11-27 15:12");
    assert_eq!(t.latest_start_minute, Some(15 * 60 + 12));
    assert_eq!(codes(&t), [""; 0]);
    let late = day("2026-11-27 15:13");
    assert_eq!(codes(&late), ["outside-hours"]);
    let hint = late.findings[0].hint.as_deref().unwrap();
    assert!(hint.contains("08:00") && hint.contains("15:12"), "{hint}");
    let early = day("2026-11-27 07:59");
    assert_eq!(codes(&early), ["outside-hours"]);
}

#[test]
fn castings_that_cure_at_night_leave_their_moulds_when_the_shop_opens() {
    let t = timeline(&within("08:00-18:00", starting("09:00", worked()))).unwrap();
    // Ready 1304 min after 09:00, at 06:44; the shop opens 1380 min after 09:00.
    assert_eq!(find(&t, EventCode::Demould, "", None).at.unwrap().to_string(), "06:44 of day 2");
    assert_eq!(minutes(&t, EventCode::DemouldAtOpening, "", None), 1380.0);
    assert_eq!(t.end.unwrap().minutes, 1380.0);
}

#[test]
fn a_pour_waits_for_the_morning_only_if_it_still_bonds() {
    // The core gels for ten hours and bonds for thirty, the edge as long.
    let mut slow = worked();
    slow.pours[1].times.bond_until_minutes = Some(1800.0);
    slow.pours[2].times = times([15.0, 600.0, 600.0, 1800.0, 2400.0, 10_080.0]);
    let slow = within("08:00-18:00", slow);
    // From 10:00: the core carries at 10:00 + 104 + 600 = 21:44; the cap waits until 08:00.
    let t = timeline(&starting("10:00", slow.clone())).unwrap();
    let cap = find(&t, EventCode::Mixing, "cap", Some(1)).at.unwrap();
    assert_eq!(cap.to_string(), "08:00 of day 2");
    assert_eq!(find(&t, EventCode::CapWindow, "cap", None).kept, Some(true));
    // No start gets all done in one day, so that is only noted.
    assert_eq!((t.latest_start_minute, codes(&t)), (None, vec!["window-outside-hours"]));
    assert_eq!(t.findings[0].severity, Severity::Note);

    // An edge that bonds for 1000 min doesn't last from eight in the morning: somebody would have
    // to come back. Begun from 14:29 on it lasts until the cap is laid at 08:04, and begun by 16:07
    // the core is laid before the shop closes.
    let mut short = slow.clone();
    short.pours[1].times.bond_until_minutes = Some(1000.0);
    let t = timeline(&starting("08:00", short.clone())).unwrap();
    assert_eq!(minutes(&t, EventCode::Mixing, "cap", Some(1)), 704.0);
    assert_eq!(codes(&t), ["outside-hours"]);
    let hint = t.findings[0].hint.clone().unwrap();
    assert!(hint.contains("between 14:29 and 16:07"), "{hint}");
    // Begun later the core waits for the morning, which its own window lets it, and the cap can't.
    for (start, told) in [
        ("14:28", &["outside-hours"][..]),
        ("14:29", &["window-outside-hours"]),
        ("16:07", &["window-outside-hours"]),
        ("16:08", &["cap-window-missed", "outside-hours"]),
    ] {
        assert_eq!(codes(&timeline(&starting(start, short.clone())).unwrap()), told, "{start}");
    }
    // One that bonds for 780 min helps nobody: the core would be laid after closing.
    short.pours[1].times.bond_until_minutes = Some(780.0);
    assert_eq!(codes(&timeline(&starting("08:00", short)).unwrap()), ["no-start-fits"]);

    // An unknown end is never waited out.
    let mut unknown = slow;
    unknown.pours[2].times.bond_until_minutes = None;
    let t = timeline(&starting("10:00", unknown)).unwrap();
    assert_eq!(find(&t, EventCode::CapWindow, "cap", None).kept, None);
    assert_eq!(codes(&t), ["time-unknown", "no-start-fits"]);
}

#[test]
fn hours_too_short_for_the_work_say_so() {
    let t = timeline(&within("09:00-10:00", starting("09:00", worked()))).unwrap();
    assert_eq!((t.latest_start_minute, codes(&t)), (None, vec!["no-start-fits"]));
    // Hours without a start are those of a day that starts at opening.
    let t = timeline(&within("08:00-18:00", worked())).unwrap();
    assert_eq!(t.events[0].at.unwrap().to_string(), "08:00");
    assert_eq!(t.latest_start_minute, Some(15 * 60 + 12));
}

#[test]
fn five_castings_in_two_moulds_take_three_rounds() {
    let run = TimelineRequest { castings: 5, moulds: 2, ..worked() };
    let t = timeline(&within("08:00-18:00", starting("2026-11-27 09:00", run))).unwrap();
    // Each round leaves the moulds 21 h 44 min after its start: at 06:44 of the next day, so at
    // 08:00; the next, begun then, at 05:44 of the day after, so at 08:00 again.
    let told: Vec<_> = t
        .rounds
        .iter()
        .map(|r| (r.number, r.castings, r.start.to_string(), r.demould.unwrap().to_string()))
        .collect();
    let round =
        |n, castings, start: &str, out: &str| (n, castings, start.to_owned(), out.to_owned());
    assert_eq!(
        told,
        [
            round(1, 2, "2026-11-27 09:00", "2026-11-28 08:00"),
            round(2, 2, "2026-11-28 08:00", "2026-11-29 08:00"),
            round(3, 1, "2026-11-29 08:00", "2026-11-30 08:00"),
        ]
    );
    assert_eq!(t.end.unwrap().to_string(), "2026-11-30 08:00");
    // Release, two coats, core, cap, demoulding.
    assert_eq!(t.tasks.len(), 3 * 6);
    assert_eq!(t.tasks.iter().filter(|t| t.code == TaskCode::Demould).count(), 3);
    assert_eq!(codes(&t), [""; 0]);

    // More moulds than castings: one round, of as many castings.
    let t = timeline(&TimelineRequest { castings: 3, moulds: 9, ..worked() }).unwrap();
    assert_eq!((t.rounds.len(), t.rounds[0].castings), (1, 3));
}

#[test]
fn what_is_no_request_is_refused() {
    let refused = |change: &dyn Fn(&mut TimelineRequest)| {
        let mut request = starting("2026-11-27 09:00", worked());
        change(&mut request);
        timeline(&request).unwrap_err()
    };
    for bad in [-1.0, f64::NAN, f64::INFINITY, 1e300] {
        let e = refused(&|r| r.pours[0].times.gel_minutes = Some(bad));
        assert!(matches!(e, TimingError::OutOfRange { what: "the gel time", .. }), "{e}");
        assert!(matches!(refused(&|r| r.release_minutes = bad), TimingError::OutOfRange { .. }));
        assert!(matches!(refused(&|r| r.reserve = bad), TimingError::Reserve { .. }));
    }
    assert!(matches!(refused(&|r| r.reserve = 1.0), TimingError::Reserve { .. }));
    assert!(matches!(refused(&|r| r.pours.swap(1, 2)), TimingError::OutOfOrder { .. }));
    assert!(matches!(refused(&|r| r.pours[2].batches = 0), TimingError::Batches { .. }));
    assert!(matches!(refused(&|r| r.pours[2].batches = u32::MAX), TimingError::Batches { .. }));
    assert_eq!(refused(&|r| r.castings = 0), TimingError::Nothing);
    assert_eq!(refused(&|r| r.moulds = 0), TimingError::Nothing);
    assert_eq!(refused(&|r| r.castings = u32::MAX), TimingError::Rounds { rounds: u32::MAX });
    // 10 000 rounds of 1000 days go far beyond the calendar, and nothing panics.
    let far = refused(&|r| {
        r.castings = 10_000;
        r.pours[0].times.demould_minutes = Some(1_440_000.0);
    });
    assert_eq!(far, TimingError::BeyondCalendar);
    let nothing = timeline(&request(vec![])).unwrap();
    assert_eq!((nothing.end, nothing.tasks.len()), (None, 1));
}

/// References P7: the ratio of rates, exp(Ea/R·(1/T₁ − 1/T₂)), Ea in kJ/mol, temperatures in °C.
fn arrhenius(ea_kj_mol: f64, from_c: f64, to_c: f64) -> f64 {
    // The gas constant, J/(mol·K): exact product of two defining constants of the SI.
    const R: f64 = 8.314_462_618;
    (1000.0 * ea_kj_mol / R * (1.0 / (from_c + 273.15) - 1.0 / (to_c + 273.15))).exp()
}

#[test]
fn the_ten_degree_rule_is_an_activation_energy_of_51_kj() {
    // References P7: 51.2 from 20 to 30 °C, 47.8 from 10 to 20, 52.9 from 25 to 35.
    for (ea, from, to) in [(51.2, 20.0, 30.0), (47.8, 10.0, 20.0), (52.9, 25.0, 35.0)] {
        let rule = 1.0 / ten_degree_factor(from, to);
        assert!((arrhenius(ea, from, to) - rule).abs() < 0.005, "{ea}");
    }
    // References P9, pot life relative to 23 °C at 15, 18, 28, 33 °C. The rule lies between those
    // of the lowest and the highest activation energy of soft urethanes.
    let rooms = [15.0, 18.0, 28.0, 33.0];
    let table = [
        (35.0, [1.48, 1.28, 0.79, 0.63]),
        (50.0, [1.76, 1.42, 0.71, 0.52]),
        (77.0, [2.38, 1.71, 0.59, 0.36]),
    ];
    for (ea, lives) in table {
        for (room, life) in rooms.into_iter().zip(lives) {
            let found = arrhenius(ea, room, 23.0);
            assert!((found - life).abs() < 0.0051, "{ea} kJ/mol at {room} °C: {found}");
        }
    }
    for room in rooms {
        let (low, high) = (arrhenius(35.0, room, 23.0), arrhenius(77.0, room, 23.0));
        let rule = ten_degree_factor(23.0, room);
        assert!((low.min(high)..=low.max(high)).contains(&rule), "{room} °C");
    }
}

fn any_times() -> impl Strategy<Value = RoomTimes> {
    let time = |most| prop::option::weighted(0.9, 0.0..most);
    (time(60.0), time(400.0), time(400.0), time(2000.0), time(3000.0), time(20_000.0)).prop_map(
        |(working, gel, from, until, demould, cure)| RoomTimes {
            working_minutes: working,
            gel_minutes: gel,
            bond_from_minutes: from,
            bond_until_minutes: until,
            demould_minutes: demould,
            full_cure_minutes: cure,
            ..times([0.0; 6])
        },
    )
}

fn any_pour(kind: PourKind) -> impl Strategy<Value = Pour> {
    (1..5_u32, 0.0..6.0, 0.0..6.0, 0.0..20.0, any_times()).prop_map(
        move |(batches, mixing, degassing, applying, times)| Pour {
            times,
            ..pour(kind.as_str(), kind, batches, [mixing, degassing, applying], [0.0; 6])
        },
    )
}

prop_compose! {
    fn any_request()(
        coats in prop::collection::vec(any_pour(PourKind::Coat), 0..4),
        core in prop::option::weighted(0.9, any_pour(PourKind::Core)),
        cap in prop::option::weighted(0.8, any_pour(PourKind::Cap)),
        release in 0.0..40.0,
        minute in 0..1440_i64,
        opens in 0..1380_i64,
        open_for in 1..1440_i64,
        has_hours: bool,
        castings in 1..9_u32,
        moulds in 1..4_u32,
    ) -> TimelineRequest {
        let mut pours: Vec<Pour> = coats.into_iter().chain(core).chain(cap).collect();
        for (at, pour) in pours.iter_mut().enumerate() {
            pour.name = format!("{} {at}", pour.name);
        }
        let clock = |m: i64| format!("{:02}:{:02}", m / 60, m % 60);
        let hours = format!("{}-{}", clock(opens), clock((opens + open_for).min(1440)));
        TimelineRequest {
            pours,
            reserve: 0.2,
            release_minutes: release,
            start: Start::At(day_one() + SignedDuration::from_mins(minute)),
            hours: has_hours.then(|| hours.parse::<Hours>().unwrap()),
            castings,
            moulds,
        }
    }
}

fn day_one() -> DateTime {
    date(2026, 11, 27).at(0, 0, 0, 0)
}

/// Minutes after the first midnight.
fn since_midnight(request: &TimelineRequest, minutes: f64) -> f64 {
    let Start::At(at) = request.start else { panic!("no start") };
    at.duration_since(day_one()).as_secs_f64() / 60.0 + minutes
}

/// From one time to another within the hours of one day.
fn attended(request: &TimelineRequest, from: f64, until: f64) -> bool {
    let Some(hours) = request.hours else { return true };
    let [from, until] = [from, until].map(|m| since_midnight(request, m));
    let midnight = 1440.0 * ((from + SLACK) / 1440.0).floor();
    from >= midnight + hours.opens_minute() - SLACK
        && until <= midnight + hours.closes_minute() + SLACK
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    /// A window that is said to be kept holds the whole pour, by the numbers asked for alone.
    #[test]
    fn no_window_that_is_kept_is_violated(request in any_request()) {
        let t = timeline(&request).unwrap();
        let begun = |pour: &Pour| find(&t, EventCode::Mixing, &pour.name, Some(1)).at.unwrap().minutes;
        let skin = request.pours.iter().rfind(|p| p.kind == PourKind::Coat);
        for pair in request.pours.windows(2) {
            let (under, over) = (&pair[0], &pair[1]);
            let window = t.events.iter().find(|e| {
                e.code.is_window() && e.pour.as_deref() == Some(&over.name)
            }).unwrap();
            if window.kept != Some(true) {
                continue;
            }
            let (first, last) = (begun(under), begun(under) + f64::from(under.batches - 1) * under.batch_minutes());
            let from = under.times.bond_from_minutes.or(under.times.gel_minutes).unwrap();
            let (begins, ends) = (begun(over), begun(over) + over.all_minutes());
            prop_assert!(begins >= last + from - SLACK);
            prop_assert!(ends <= first + under.times.bond_until_minutes.unwrap() + SLACK);
            if let (PourKind::Cap, PourKind::Core) = (over.kind, under.kind) {
                prop_assert!(under.times.gel_minutes.is_none_or(|gel| begins >= last + gel - SLACK));
                if let Some(skin) = skin {
                    let until = begun(skin) + skin.times.bond_until_minutes.unwrap();
                    prop_assert!(ends <= until + SLACK);
                }
            }
        }
        for (pour, batch) in request.pours.iter().flat_map(|p| (1..=p.batches).map(move |b| (p, b))) {
            let by = t.events.iter().find(|e| {
                matches!(e.code, EventCode::BrushBy | EventCode::PourBy)
                    && e.pour.as_deref() == Some(&pour.name) && e.batch == Some(batch)
            });
            if let Some(Event { kept: Some(true), at: Some(by), .. }) = by {
                let mixed = minutes(&t, EventCode::Mixing, &pour.name, Some(batch));
                prop_assert!(mixed + pour.batch_minutes() <= by.minutes + SLACK);
                prop_assert!(by.minutes <= mixed + 0.8 * pour.times.working_minutes.unwrap() + SLACK);
            }
        }
        // What isn't kept is told.
        let missed = t.events.iter().any(|e| e.code.is_window() && e.kept == Some(false));
        let told = codes(&t).iter().any(|c| ["window-missed", "cap-window-missed"].contains(c));
        prop_assert!(!missed || told);
    }

    /// One person does one thing at a time, batches and pours in their order; everything outside
    /// the hours is told.
    #[test]
    fn one_person_does_one_thing_at_a_time(request in any_request()) {
        let t = timeline(&request).unwrap();
        for pair in t.tasks.windows(2) {
            prop_assert!(pair[0].until.minutes <= pair[1].from.minutes + SLACK, "{pair:#?}");
            prop_assert!(pair[0].round <= pair[1].round);
        }
        let outside = t.tasks.iter().any(|t| !attended(&request, t.from.minutes, t.until.minutes));
        let told = codes(&t).iter().any(|c| ["outside-hours", "no-start-fits"].contains(c));
        prop_assert!(!outside || told, "{:?} {:#?}", codes(&t), t.tasks);
        for task in t.tasks.iter().filter(|t| t.code == TaskCode::Demould) {
            prop_assert!(attended(&request, task.from.minutes, task.until.minutes));
        }
        let named = t.tasks.iter().filter(|t| t.round == 1).filter_map(|t| t.pour.as_deref());
        let pours: Vec<_> = request.pours.iter().map(|p| p.name.as_str()).collect();
        let named: Vec<_> = named.collect();
        prop_assert!(pours.starts_with(&named));
        for pour in &request.pours {
            let batches: Vec<_> = t.events.iter().filter(|e| {
                e.code == EventCode::Mixing && e.pour.as_deref() == Some(&pour.name) && e.at.is_some()
            }).collect();
            prop_assert!(batches.is_empty() || batches.len() == pour.batches as usize);
            for pair in batches.windows(2) {
                let apart = pair[1].at.unwrap().minutes - pair[0].at.unwrap().minutes;
                prop_assert!((apart - pour.batch_minutes()).abs() < SLACK);
                prop_assert!(pair[0].batch < pair[1].batch);
            }
        }
        // All castings are made once, and a mould is free before it is filled again.
        if t.end.is_some() {
            prop_assert_eq!(t.rounds.iter().map(|r| r.castings).sum::<u32>(), request.castings);
        }
        for pair in t.rounds.windows(2) {
            prop_assert!(pair[0].demould.unwrap().minutes <= pair[1].start.minutes + SLACK);
        }
    }

    /// The latest start keeps the hours of its day; a minute later doesn't.
    #[test]
    fn the_latest_start_is_the_latest(request in any_request()) {
        let t = timeline(&request).unwrap();
        let (Some(hours), Some(length)) = (request.hours, t.attended_minutes) else {
            prop_assert_eq!(t.latest_start_minute, None);
            return Ok(());
        };
        let done_by = |minute: f64| minute + length <= hours.closes_minute() + SLACK;
        match t.latest_start_minute {
            None => prop_assert!(!done_by(hours.opens_minute())),
            Some(minute) => {
                prop_assert!(f64::from(minute) >= hours.opens_minute());
                prop_assert!(done_by(minute.into()));
                prop_assert!(minute == 1439 || !done_by(f64::from(minute) + 1.0));
                let begins = |minute: u16| {
                    let start = day_one() + SignedDuration::from_mins(minute.into());
                    let one = TimelineRequest { castings: 1, start: Start::At(start), ..request.clone() };
                    let t = timeline(&one).unwrap();
                    let last = t.tasks.iter().rfind(|t| t.code != TaskCode::Demould)
                        .map_or(0.0, |t| t.until.minutes);
                    (since_midnight(&one, last), codes(&t).contains(&"outside-hours"))
                };
                let (last, outside) = begins(minute);
                prop_assert!(last <= hours.closes_minute() + SLACK && !outside);
                if minute < 1439 {
                    let (last, outside) = begins(minute + 1);
                    prop_assert!(last > hours.closes_minute() || outside);
                }
            }
        }
    }

    /// Without hours a later start moves every clock by as much, and nothing else.
    #[test]
    fn a_later_start_moves_every_clock(request in any_request(), by in 0..100_000_i64) {
        let request = TimelineRequest { hours: None, ..request };
        let Start::At(at) = request.start else { unreachable!() };
        let by = SignedDuration::from_mins(by);
        let moved = TimelineRequest { start: Start::At(at + by), ..request.clone() };
        let (one, other) = (timeline(&request).unwrap(), timeline(&moved).unwrap());
        prop_assert_eq!(one.events.len(), other.events.len());
        for (a, b) in one.events.iter().zip(&other.events) {
            prop_assert_eq!((a.code, &a.pour, a.batch, a.kept), (b.code, &b.pour, b.batch, b.kept));
            for (a, b) in [(a.at, b.at), (a.until, b.until)] {
                prop_assert_eq!(a.map(|a| a.minutes), b.map(|b| b.minutes));
                match (a.map(|a| a.clock), b.map(|b| b.clock)) {
                    (Some(Clock::At(a)), Some(Clock::At(b))) => prop_assert_eq!(a + by, b),
                    (a, b) => prop_assert_eq!((a, b), (None, None)),
                }
            }
        }
    }

    /// In a warmer room no window opens or closes later.
    #[test]
    fn a_warmer_room_makes_no_window_later(request in any_request(), degrees in 0.0..10.0) {
        let request = TimelineRequest { hours: None, ..request };
        let factor = ten_degree_factor(23.0, 23.0 + degrees);
        let mut warmer = request.clone();
        for pour in &mut warmer.pours {
            let times = &mut pour.times;
            for time in [
                &mut times.working_minutes, &mut times.gel_minutes, &mut times.bond_from_minutes,
                &mut times.bond_until_minutes, &mut times.demould_minutes,
                &mut times.full_cure_minutes,
            ] {
                *time = time.map(|minutes| minutes * factor);
            }
        }
        let (usual, warm) = (timeline(&request).unwrap(), timeline(&warmer).unwrap());
        for event in usual.events.iter().filter(|e| e.code.is_window()) {
            let pour = event.pour.as_deref().unwrap();
            let same = find(&warm, event.code, pour, None);
            for (usual, warm) in [(event.at, same.at), (event.until, same.until)] {
                if let (Some(usual), Some(warm)) = (usual, warm) {
                    prop_assert!(warm.minutes <= usual.minutes + SLACK);
                }
            }
        }
    }
}

#[cfg(feature = "cli")]
#[path = "support/command.rs"]
mod command;

/// The command from outside.
#[cfg(feature = "cli")]
mod outside {
    use super::command::run;
    use serde_json::Value;
    use std::process::Output;

    fn plan(options: &[&str]) -> Output {
        let line = ["plan", "sample-meshes/kidney.stl", "--unit", "mm"];
        run(env!("CARGO_MANIFEST_DIR").as_ref(), &[&line, options].concat())
    }

    fn sheet(options: &[&str]) -> String {
        let output = plan(options);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    #[test]
    fn a_bad_start_or_bad_hours_are_refused_in_words() {
        for (options, status, words) in [
            (&["--start", "9 o'clock"][..], 2, "write a"),
            (&["--start", "2026-02-30 09:00"], 2, "no day of the calendar"),
            (&["--start", "2026-11-27"], 2, "names a day but no time"),
            (&["--start", "99999999999:00"], 2, "no time of a day"),
            (&["--start", ""], 2, "no time of a day"),
            (&["--hours", "18:00-08:00"], 2, "can't close at 08:00"),
            (&["--hours", "8"], 2, "from when to when"),
            (&["--release", "15"], 2, "minutes or hours"),
            (&["--release", "-15min"], 2, "negative"),
            (&["--release", "9999999999999999999h"], 2, "no length of time"),
            (&["--release", "100000h"], 2, "at most 1000 days"),
            (&["--start", "9999-12-31 23:00"], 1, "where the calendar ends"),
        ] {
            let output = plan(options);
            let error = String::from_utf8_lossy(&output.stderr);
            assert_eq!(output.status.code(), Some(status), "{options:?}: {error}");
            assert!(output.stdout.is_empty() && error.contains(words), "{options:?}: {error}");
            assert!(!error.contains("panicked"), "{error}");
        }
    }

    #[test]
    fn the_sheet_counts_or_shows_the_clock_in_80_columns() {
        let counted = sheet(&[]);
        assert!(counted.contains("ORDER AND TIMES") && counted.contains("+0:15"), "{counted}");
        let at = ["--start", "2026-11-27 09:00", "--hours", "08:00-18:00", "--coats", "3"];
        let clock = sheet(&at);
        assert!(clock.contains("Fri 2026-11-27 09:00") && clock.contains("09:15"), "{clock}");
        let now = sheet(&["--start", "now", "--release", "0"]);
        assert!(!now.contains("release agent"), "{now}");
        for line in counted.lines().chain(clock.lines()) {
            assert!(line.chars().count() <= 80, "{line}");
        }
    }

    #[test]
    fn json_tells_minutes_clock_code_and_what_is_kept() {
        let told: Value =
            serde_json::from_str(&sheet(&["--json", "--start", "2026-12-31 23:50"])).unwrap();
        let events = told["timeline"]["events"].as_array().unwrap();
        let dry = events.iter().find(|e| e["code"] == "release-dry").unwrap();
        assert_eq!(
            (dry["minutes"].as_f64(), dry["clock"].as_str()),
            (Some(15.0), Some("2027-01-01T00:05:00"))
        );
        let by = events.iter().find(|e| e["code"] == "brush-by").unwrap();
        assert_eq!(by["kept"], true);
        assert_eq!(told["timeline"]["rounds"][0]["number"], 1);
        assert!(told["timeline"]["tasks"].as_array().unwrap().len() > 3);
        // Without a start there is no clock.
        let told: Value = serde_json::from_str(&sheet(&["--json"])).unwrap();
        assert!(told["timeline"]["events"][0].get("clock").is_none());
        // Of a day left open the day is counted.
        let told: Value = serde_json::from_str(&sheet(&["--json", "--start", "9:00"])).unwrap();
        assert_eq!(told["timeline"]["events"][0]["day"], 1);
    }
}
