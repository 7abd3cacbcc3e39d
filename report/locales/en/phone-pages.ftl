# What the pages of the phone say. No key takes an argument; the pages set numbers beside them.

phone-page-app = Airwright
phone-page-app-line = One airtightness test, from the doorway to the sheet

# The three pages along the bottom edge; eight letters at most.
phone-page-bar-tests = Tests
phone-page-bar-books = Books
phone-page-bar-device = Device
phone-page-bar-label = Pages

# Tests on this device.
phone-page-tests-title = On this device
phone-page-tests-none = No test yet. What you type stays on this device, also without a network.
phone-page-tests-new = New test
phone-page-tests-import = Bring in a job folder
phone-page-tests-import-help = A zip file, or the files of the folder
phone-page-tests-unnamed = Place not named yet
phone-page-tests-closed = closed
phone-page-tests-running = not closed yet
phone-page-tests-exported = taken along
phone-page-tests-not-exported = only on this device
phone-page-tests-remind = These finished tests are only on this device. Take them along before the device is lost or cleared.
phone-page-tests-remove = Remove from this device
phone-page-tests-remove-sure = Remove it with all its revisions? There is no way back.
phone-page-tests-remove-yes = Remove
phone-page-tests-import-failed = This could not be read as a job folder of one test.
phone-page-tests-imported = Brought in as a new test.
phone-page-tests-last-change = last change

# Steps of one test.
phone-page-step-word = Step
phone-page-of = of
phone-page-step-all = All steps
phone-page-step-back = Back
phone-page-step-next = Next
phone-page-step-profile = Standard
phone-page-step-place = Place and house
phone-page-step-instruments = Instruments
phone-page-step-preparation = Preparation
phone-page-step-baseline = Baseline
phone-page-step-points = Points
phone-page-step-after = After the points
phone-page-step-restore = Put back
phone-page-step-sheet = Sheet
phone-page-step-done = done
phone-page-step-open = not yet
phone-page-step-lacks = lacks

# 1 Standard.
phone-page-profile-lead = Which standard asks for this test?
phone-page-profile-direction = Direction of the fan
phone-page-depressurise = Depressurise
phone-page-depressurise-help = The fan draws air out of the house. Its pressure is below outdoors; you type it without sign.
phone-page-pressurise = Pressurise
phone-page-pressurise-help = The fan blows air into the house. Its pressure is above outdoors.
phone-page-profile-second = Then the other direction too
phone-page-profile-second-help = Both runs make one test; the result is the mean of both.
phone-page-profile-second-held = The second direction holds numbers, so it stays.
phone-page-run-depressurise = Depressurised
phone-page-run-pressurise = Pressurised
phone-page-profile-units = Units of what you type
phone-page-units-ip = US: ft, °F, cfm
phone-page-units-si = SI: m, °C, m³/h
phone-page-units-fixed = Units stay as they are once numbers are typed, so that no number changes its meaning.
phone-page-profile-language = Language of the sheet

# 2 Place and house.
phone-page-place-from-book = From the book of places
phone-page-place-name = Place or job name
phone-page-place-altitude = Altitude
phone-page-place-limit = Adopted limit
phone-page-place-limit-help = The number that the authority here has adopted, for this standard's result. Leave it empty where there is none.
phone-page-place-limit-source = Where this limit is written
phone-page-place-limit-confirmed = I have read this limit in that text
phone-page-place-limit-confirmed-help = A limit that nobody has read in its source decides nothing.
phone-page-place-other-units = The altitude of this entry was typed in the other units: type it here.
phone-page-house-lead = The house
phone-page-house-volume = Volume
phone-page-house-floor-area = Floor area
phone-page-house-envelope-area = Envelope area
phone-page-house-height = Height
phone-page-house-height-help = From the lowest floor to the highest ceiling inside the envelope
phone-page-house-basement = Is the basement part of these numbers?
phone-page-basement-in = It is in
phone-page-basement-out = It is out
phone-page-basement-none = No basement
phone-page-house-includes = What else these numbers include or leave out

# 3 Instruments and tester.
phone-page-instruments-lead = What reads pressure and flow, and who tests
phone-page-gauge = Pressure gauge
phone-page-fan = Test fan and its flow display
phone-page-from-book = From the book
phone-page-instrument-label = Name people read
phone-page-instrument-accuracy = Accuracy as on its certificate
phone-page-gauge-accuracy-help = For example: 1 % or 0.25 Pa. Leave it empty where nobody knows it: there is then no verdict.
phone-page-fan-accuracy-help = For example: 4 %. Leave it empty where nobody knows it: there is then no verdict.
phone-page-instrument-serial = Serial number
phone-page-instrument-calibrated = Calibrated on
phone-page-gauge-baseline = Does this gauge take the baseline out by itself?
phone-page-gauge-subtracts = Yes, it subtracts
phone-page-gauge-shows-raw = No, it shows the raw pressure
phone-page-fan-shows = The flow it shows is
phone-page-fan-calibration-density = flow at the density it was calibrated for
phone-page-fan-actual-density = flow of the air that is there
phone-page-fan-through-envelope = flow through the envelope
phone-page-fan-reference-conditions = flow at the standard's reference conditions
phone-page-fan-density = Density of its calibration
phone-page-fan-density-help = As on its certificate
phone-page-fan-fan-pressure = the pressure in the fan
phone-page-fan-add = Add a fan
phone-page-fan-remove = Take this fan out
phone-page-fans-help = All fans run at once, each with a column of its own. One that is sealed at a point shows 0.
phone-page-fan-short = Fan
phone-page-calibration = Calibration
phone-page-calibration-kind = Its certificate states it as
phone-page-calibration-equation = an equation
phone-page-calibration-table = a table
phone-page-calibration-flow = Flow at 1 Pa in the fan
phone-page-calibration-exponent = Exponent
phone-page-calibration-low = Holds from
phone-page-calibration-high = to
phone-page-calibration-table-help = It holds between its lowest and its highest pressure.
phone-page-range = Range
phone-page-range-name = Name of this range
phone-page-range-name-help = In words of your own, such as: large ring
phone-page-range-add = Add a range
phone-page-range-remove = Take this range out
phone-page-points-fan-pressure = Fan pressure
phone-page-basis = What this means
phone-page-keep-in-book = Keep in the book
phone-page-kept-in-book = Kept in the book
phone-page-tester = Tester
phone-page-tester-name = Name
phone-page-tester-credential = Credential
phone-page-firm = Letterhead
phone-page-firm-none = No letterhead yet
phone-page-firm-name = Firm
phone-page-firm-address = Address
phone-page-firm-phone = Phone
phone-page-firm-licence = Licence or credential of the firm

# 4 Preparation.
phone-page-preparation-lead = How each opening stands during the test. It is kept with the test and printed on the sheet.
phone-page-preparation-usual = Set all as this standard usually wants them
phone-page-preparation-usual-word = usual
phone-page-preparation-differs = not the usual way
phone-page-open = open
phone-page-closed = closed
phone-page-sealed = sealed
phone-page-preparation-none = This standard has no list here.
phone-page-preparation-undo = Undo

# 5 Baseline, 6 Points, 7 After.
phone-page-baseline-lead = Fan off and covered. Type what the gauge shows, one reading after the other, with its sign.
phone-page-baseline-reading = Baseline reading
phone-page-baseline-shared = What was read after the first direction counts before this one too. Read it again if it took a while.
phone-page-point = Point
phone-page-points-house = House pressure
phone-page-points-fan = Fan flow
phone-page-points-table = All points
phone-page-points-done = Enough, go on
phone-page-after-lead = Fan off and covered again. The same baseline once more, then the weather.
phone-page-after-baseline = Baseline after
phone-page-after-indoor = Temperature indoors
phone-page-after-outdoor = Temperature outdoors
phone-page-after-indoor-rh = Humidity indoors
phone-page-after-outdoor-rh = Humidity outdoors
phone-page-after-wind = Wind
phone-page-after-barometer = Air pressure by barometer
phone-page-after-barometer-help = Only if you have one on site. Without it the altitude is used.
phone-page-reading-none = empty

# The number pad.
phone-page-pad = Number pad
phone-page-pad-next = Next
phone-page-pad-back = Delete the last digit
phone-page-pad-sign = Change the sign
phone-page-pad-point = Decimal point
phone-page-pad-before = Entry before

# State of what was typed.
phone-page-kept = kept
phone-page-keeping = keeping
phone-page-not-kept = not kept
phone-page-storage-full = This device does not take what you type: its storage is full or closed. Nothing is lost as long as this page stays open. Take the test along now, make room, then try again.
phone-page-storage-none = This browser gives no storage to this page. What you type is lost when it closes: take the test along before.
phone-page-storage-retry = Try again
phone-page-storage-export = Take the test along now
phone-page-engine-failed = The part that computes did not start. What you type is kept all the same.
phone-page-engine-retry = Start it again
phone-page-loading = Loading

# The answer while the fan runs.
phone-page-answer = The answer so far
phone-page-answer-none = The interval appears with the third point.
phone-page-answer-lacks = For the answer there is lacking
phone-page-answer-limit = limit
phone-page-answer-others = Also from these points
phone-page-picture-title = The interval of the answer, narrowing from point to point
phone-page-picture-table = The same as a table
phone-page-picture-points = points
phone-page-picture-value = value
phone-page-picture-from = from
phone-page-picture-to = to
phone-page-residuals = How far each point stands off the line
phone-page-residuals-point = point
phone-page-advice = What to do now
phone-page-second = s
phone-page-checks = What the standard asks for
phone-page-check-holds = holds
phone-page-check-failed = failed
phone-page-check-undecided = undecided
phone-page-check-found = found
phone-page-check-wanted = asked for
phone-page-extrapolated = extrapolated to the result's pressure
phone-page-pass = pass
phone-page-fail = fail
phone-page-too-close = too close to call
phone-page-limit-not-confirmed = limit not confirmed

# A reading that contradicts.
phone-page-challenge = Look again
phone-page-challenge-right = It is right
phone-page-challenge-change = Change it

# 8 Put back.
phone-page-restore-lead = What the preparation disturbed. The test closes complete only when every line is ticked.
phone-page-restore-none = The preparation has disturbed nothing that must be put back.
phone-page-restore-left = still to put back
phone-page-restore-complete = Everything is put back.

# 9 Sheet.
phone-page-sheet-lead = Read it, sign it, hand it over.
phone-page-sheet-none = The sheet needs some numbers more.
phone-page-sheet-preview = The sheet as it will be printed
phone-page-sheet-print = Print
phone-page-sheet-share = Share the sheet
phone-page-sheet-save = Save the sheet
phone-page-sheet-job = Take the job folder along
phone-page-sheet-job-help = One zip file with everything that was typed, readable on any computer
phone-page-sheet-close = Close the test
phone-page-sheet-closed = This test is closed and complete.
phone-page-sheet-reopen = Open it again
phone-page-sheet-cannot-close = It cannot close yet

# The day of the test, beside the sheet.
phone-page-day-of-test = Day of the test
phone-page-day-help = By the clock of this device when the test was begun; the sheet bears it
phone-page-day-doubt = Is this the day of the test? The readings were typed on another one, or the clock of this device was changed.
phone-page-day-clock = Days of the readings by this device:
phone-page-day-right = it is right

# Books.
phone-page-books-title = Books
phone-page-books-lead = Entered once, used in every test on this device.
phone-page-books-places = Places
phone-page-books-gauges = Pressure gauges
phone-page-books-fans = Test fans
phone-page-books-testers = Testers
phone-page-books-firms = Letterheads
phone-page-books-none = Nothing here yet.
phone-page-books-add = Add
phone-page-books-change = Change
phone-page-books-remove = Remove
phone-page-books-undo = Undo
phone-page-books-removed = Removed.
phone-page-books-limit-for = Limit for
phone-page-books-done = Done

# Device.
phone-page-device-title = This device
phone-page-device-language = Language
phone-page-device-units = Units of new tests
phone-page-device-theme = Screen
phone-page-theme-auto = as the device
phone-page-theme-light = light
phone-page-theme-dark = dark
phone-page-theme-sun = sun
phone-page-device-storage = Storage
phone-page-storage-persisted = The browser has promised not to clear this storage by itself.
phone-page-storage-may-clear = The browser may clear this storage when room is short. Take finished tests along.
phone-page-storage-ask = Ask for lasting storage
phone-page-device-offline = Without a network
phone-page-offline-ready = Everything is on this device; no network is needed.
phone-page-offline-not-yet = Not yet ready for use without a network: load this page once more.
phone-page-offline-never = This browser or address does not allow use without a network.
phone-page-device-about = About
phone-page-about-text = Airwright works on this device alone. Nothing you type leaves it unless you take it along or share it.
phone-page-about-version = Version
phone-page-install = Install on this device
phone-page-device-version = New versions
phone-page-version-look = Look for a new version
phone-page-version-looking = Looking …
phone-page-version-newest = This is the newest version.
phone-page-version-failed = No answer: without a network there is no new version to find.
phone-page-new-version = A new version is there.
phone-page-new-version-take = Take it
phone-page-new-version-later = Later
phone-page-skip = To the content
phone-page-close = Shut
phone-page-yes = Yes
phone-page-no = No
phone-page-optional = may stay empty
phone-page-on-this-page = On this page
