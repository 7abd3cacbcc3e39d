//! A commented starter for one's own job: a single test that works as it is, and a house and plans
//! beside it, to be taken into use by renaming.

use crate::File;

const JOB: &str = include_str!("../assets/starter/job.toml");
const VISIT: &str = include_str!("../assets/starter/visit.toml");
const HOUSE: &str = include_str!("../assets/demo/house.toml");
const PLANS: &str = include_str!("../assets/demo/plans.toml");
const WEATHER: &str = include_str!("../assets/weather/greensboro-723170.csv");

pub(crate) fn files(date: &str) -> Vec<File> {
    let dated = |text: &str| text.replace("2026-01-15", date);
    vec![
        File { name: "job.toml".to_owned(), text: dated(JOB) },
        File { name: format!("visits/{date}/visit.toml"), text: dated(VISIT) },
        File { name: "house-example.toml".to_owned(), text: HOUSE.to_owned() },
        File { name: "plans-example.toml".to_owned(), text: PLANS.to_owned() },
        File { name: "weather-example.csv".to_owned(), text: WEATHER.to_owned() },
    ]
}
