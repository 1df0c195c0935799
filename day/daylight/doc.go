// Package daylight knows where the sun stands and when it rises, how bright
// and of what colour daylight is, how two channels of a lamp are mixed to a
// colour and level, and what a lamp that follows the day should do at every
// moment.
//
// Units follow the field: places and the sky in degrees, light in lx, colour
// temperature in K, drive as a fraction of a channel's full linear output.
// Times are [time.Time]; a place carries its zone. Nothing here asks the
// clock.
//
// Not modelled: mountains and trees on the horizon, the height of the place
// (the horizon dips about 1.76′ times the root of the metres, from memory),
// unusual refraction, clouds other than by kind of sky.
package daylight
