package file

// Documents for the tests of this package, whole and small.

const sampleParts = `schema = 1

[[sheet]]
id = "opal"
name = "opal sheet"
price = "11,90 €"
thickness_mm = 3
density = "1190 kg/m³"
transmittance = "0.50 ± 0.01"
reflectance = 0.46
limit = "75 °C"
emissivity = 0.9
curve = [[400, 0.4], [555, 0.5]]

[[strip]]
id = "x"
name = "two-channel strip"
drive = "resistor"
voltage = "24 V"
leds = "120 /m"
series = 6
cut = "50 mm"
reel = "5 m"
width = "12 mm"
height = "1.5 mm"
copper_oz = 2
rail_width = "2.5 mm"
beam = "120°"
emitter_area = "5 mm²"
tape_limit = "80 °C"
board_reflectance = 0.82
junction_limit = "105 °C"

[[strip.channel]]
name = "warm"
power = "9.6 W/m"
flux = "930 lm/m ± 4 %"
cct = "2700 K"
ra = 90
pump = "blue"

[[strip.channel]]
name = "cool"
power = "9.6 W/m"
measured_power_w_m = 9.1
flux = "1060 lm/m"
cct = "6500 ± 100 K"
ra = 90
pump = "blue"
`

const sampleBrief = `schema = 1
name = "bench"
session = "60 min"

[place]
meter_distance = "16 in"
lamp_above_eye_mm = 300

[wanted]
meter_illuminance_min = "5 klx"
face_mean_luminance_max = "12000 cd/m²"
first_lamp_price_max = "160 EUR"
`

const sampleLamp = `schema = 1
name = "lamp"
tray = "t"
strip = "x"
rows = 4
supply = "s"
bus_wire = "w"
lead_wire = "w"
connector = "c"
drive = { warm = 0.5, cool = "80 %" }

[place]
eye_distance = "0.7 m"

[[override]]
finding = "heat.touch"
reason = "hangs out of reach on a wall"

[[parts.fuse]]
id = "own"
name = "a fuse of my own"
rating = "2 A"
voltage = "63 V"
`
