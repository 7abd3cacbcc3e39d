//! The shipped weather year, and the days picked from it.

use engine::air;
use engine::weather::Hour;
use std::f64::consts::PI;
use validate::houses::greensboro;
#[test]
fn greensboro_is_the_climate_it_is() {
    let weather = greensboro().unwrap();
    assert!((weather.latitude_rad * 180.0 / PI - 36.1).abs() < 1e-9);
    assert!((weather.elevation_m - 273.0).abs() < 1e-9);
    // The 13th hour as the source file has it: 11.7 and 10.6 degC, 992 mbar, 5.2 m/s from 250
    // degrees, 155 W/m2 global and diffuse, no direct; and its relative humidity of 93 %.
    let noon = &weather.hours[12];
    assert!((noon.temp_k - 284.85).abs() < 1e-9 && (noon.pressure_pa - 99_200.0).abs() < 1e-9);
    assert!((noon.wind_m_s - 5.2).abs() < 1e-12 && (noon.wind_from_rad * 180.0 / PI - 250.0).abs() < 1e-9);
    assert!((noon.ghi_w_m2 - 155.0).abs() < 1e-12 && (noon.dhi_w_m2 - 155.0).abs() < 1e-12);
    assert!((air::relative_humidity(noon.temp_k, noon.w_kg_kg, noon.pressure_pa) - 0.93).abs() < 0.005);
    // About 15 degC a year (from memory).
    assert!((weather.mean_temp_k() - 288.15).abs() < 1.5);
    // Mean pressure of the standard atmosphere at 273 m within 1 %.
    assert!((weather.mean_pressure_pa() / air::standard_pressure_pa(273.0) - 1.0).abs() < 0.01);
}

/// Global irradiance is direct times the sine of the altitude plus diffuse: the sun's place must
/// agree with the station's own splitting. Hours of high sun only, where an hour's mean is close to
/// its middle.
#[test]
fn the_suns_place_agrees_with_the_stations_split() {
    let weather = greensboro().unwrap();
    let (mut count, mut sum, mut worst) = (0.0, 0.0, 0.0_f64);
    for (h, hour) in weather.hours.iter().enumerate() {
        if hour.dni_w_m2 < 300.0 {
            continue;
        }
        let sun = engine::weather::sun::position(
            (h as f64 + 0.5) * 3600.0,
            weather.utc_offset_h,
            weather.latitude_rad,
            weather.longitude_rad,
        );
        if sun.altitude_rad() < 25.0 * PI / 180.0 {
            continue;
        }
        let error = hour.dni_w_m2 * sun.toward[2] + hour.dhi_w_m2 - hour.ghi_w_m2;
        count += 1.0;
        sum += error;
        worst = worst.max(error.abs());
    }
    println!("{count} hours, mean {:.2} W/m2, worst {worst:.1} W/m2", sum / count);
    assert!(count > 1000.0);
    assert!((sum / count).abs() < 5.0 && worst < 60.0);
}

/// 48 picked days keep the sums that plans hang on.
#[test]
fn picked_days_keep_the_years_sums() {
    let weather = greensboro().unwrap();
    let picked = weather.stratified_days(48);
    assert_eq!(picked.len(), 48);
    let sums = |day: usize| {
        let hours = &weather.hours[24 * day..24 * day + 24];
        let sum = |f: &dyn Fn(&Hour) -> f64| hours.iter().map(f).sum::<f64>();
        [
            sum(&|h| (288.15 - h.temp_k).max(0.0)),
            sum(&|h| (h.temp_k - 295.15).max(0.0)),
            sum(&|h| h.w_kg_kg),
            sum(&|h| h.wind_m_s * h.wind_m_s),
            sum(&|h| h.ghi_w_m2),
        ]
    };
    let (mut all, mut some) = ([0.0; 5], [0.0; 5]);
    for day in 0..365 {
        all.iter_mut().zip(sums(day)).for_each(|(a, s)| *a += s);
    }
    for p in &picked {
        some.iter_mut().zip(sums(p.day)).for_each(|(a, s)| *a += p.weight * s);
    }
    let off: Vec<f64> = some.iter().zip(all).map(|(s, a)| s / a - 1.0).collect();
    println!("heating, cooling degree-hours, water, wind squared, sun: {off:.3?}");
    assert!(off.iter().all(|o| o.abs() < 0.05));
}

/// The header of a published file of the format (station 723170), the values of the shipped year:
/// both readers make the same year of it.
#[test]
fn typical_years_read_the_same_in_either_format() {
    let own = include_str!("../../api/assets/weather/greensboro-723170.csv");
    let mut text = String::from(
        "723170,\"GREENSBORO PIEDMONT TRIAD INT\",NC,-5.0,36.100,-79.950,273\r\n\
         Date (MM/DD/YYYY),Time (HH:MM),ETR (W/m^2),ETRN (W/m^2),GHI (W/m^2),GHI source,GHI uncert (%),DNI (W/m^2),DNI source,DNI uncert (%),DHI (W/m^2),DHI source,DHI uncert (%),Dry-bulb (C),Dry-bulb source,Dry-bulb uncert (code),Dew-point (C),Dew-point source,Dew-point uncert (code),Pressure (mbar),Pressure source,Pressure uncert (code),Wdir (degrees),Wdir source,Wdir uncert (code),Wspd (m/s),Wspd source,Wspd uncert (code)\r\n",
    );
    for (hour, line) in own.lines().filter(|l| !l.starts_with('#')).skip(1).enumerate() {
        let c: Vec<&str> = line.split(',').collect();
        let day = hour / 24;
        let month = engine::weather::month_of(day);
        let date = format!("{:02}/{:02}/1988", month + 1, day - engine::weather::MONTH_STARTS[month] + 1);
        text.push_str(&format!(
            "{date},{:02}:00,0,0,{},1,0,{},1,0,{},1,0,{},A,7,{},A,7,{},A,7,{},A,7,{},A,7\r\n",
            hour % 24 + 1,
            c[6],
            c[7],
            c[8],
            c[1],
            c[2],
            c[3],
            c[5],
            c[4]
        ));
    }
    let (weather, found) = engine::weather::read("723170TYA.CSV", &text);
    assert!(found.list.is_empty(), "{found:?}");
    let (weather, own) = (weather.unwrap(), greensboro().unwrap());
    assert_eq!(weather.hours, own.hours);
    assert!((weather.utc_offset_h - own.utc_offset_h).abs() < 1e-12);
    assert!((weather.latitude_rad - own.latitude_rad).abs() < 1e-12);
}
