# Bad days that plans live through
event-smoke = Smoke outdoors
event-heat-wave = Heat wave
event-cold-snap = Cold snap
event-power-cut = Power cut
event-everything-on = Everything on at once, doors shut
event-doors-shut = Doors shut at night
event-guests = Guests
event-cooking = Cooking and baths beyond the usual
# $label, $size: "none" where it has none, $hours, $date: month and day
event-title = { $label }{ $size ->
        [none] {""}
       *[other] {" "}({ $size })
    }: { $hours } h from { $date } on
# $zone, in all of these
event-pm25-mean = mean PM2.5 in { $zone } over that outdoors
event-pm25-peak = highest hour of PM2.5 in { $zone } over the highest outdoors
event-pm25-hours = time with more PM2.5 in { $zone } than the threshold of a day
event-pm25 = mean PM2.5 in { $zone }
event-warm-hours = time above the warm threshold in { $zone }
event-warmest = highest temperature in { $zone }
event-cool-hours = time below the cool threshold in { $zone }
event-coldest = lowest temperature in { $zone }
event-temp-at-end = temperature in { $zone } in the last hour
event-highest-co2 = highest hour of CO₂ in { $zone }
event-night-co2 = mean CO₂ of the nights in { $zone }
event-humid-hours = time damper than the threshold in { $zone }
# $appliance
event-appliance-pressure = lowest pressure at { $appliance } against outdoors
event-owed = the most that lock-outs of rules come to owe, as time at twice the exposure
event-repay = time that repays it with the devices at full
# $days
event-repaid = time from the event's end until nothing was owed, as lived with the rules ({ $days } d at most)
event-never-repaid = never with the devices at full
event-no-value = no value
event-appliance-gone = no longer draws air from the room
# $draws
event-draws = Lived in { $draws ->
        [one] { $draws } house that the readings allow
       *[other] { $draws } houses that the readings allow
    }; ranges are 90 %.
event-screening = This is screening: spillage and CO after the work decide.
event-no-appliance = No appliance here draws its air from the rooms.
event-power-cut-note = Flues and dampers stay as they are; cooking goes on.
# $plan, $owed, $repay
plans-owed = { $plan }: lock-outs of its rules come to owe { $owed } at most (as time at twice the exposure); repaid in { $repay }
# $names
change-rules = control rules: { $names }
# $done, $of
progress-events = living the plans through bad days: { $done } of { $of }
# $done, $of, $leading
progress-first-ranking = first ranking after { $done } of { $of } years: best so far { $leading }; further draws may turn it
# Where the blower of the air handler works. $plan, $flow, $rise, $drop, $intake
plans-handler = { $plan }: the air handler moves { $flow } against { $rise }, { $drop } of it over the filter
plans-handler-intake = { $plan }: the air handler moves { $flow } against { $rise }, { $drop } of it over the filter; its outdoor duct brings { $intake } while it runs
# Model against bills. $part: electricity or burnt, $model, $bills, $ratio
plans-bills = Bills, what follows the weather in a usual year: { $part ->
        [electricity] electricity of heating, cooling and air handler
       *[other] burnt for heating
    } { $model } by the model as found, { $bills } by the bills; model over bills { $ratio }
# $plan, $energy, $by: "none" for the house as found
plans-billed = { $plan }: energy of a year scaled to the bills { $energy }{ $by ->
        [none] {""}
       *[other] ; { $by } against the house as found
    }
