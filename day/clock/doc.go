// Package clock runs published models of the human body clock on a light
// schedule and says when, by each of them, body temperature is lowest and
// evening melatonin begins, and how far a schedule moves them.
//
// Hours are elapsed hours from local midnight of day 0; a day on which clocks
// change is 23 or 25 of them. Light is photopic lux at the eye, as in the
// models' papers; [ModelLux] turns melanopic illuminance into it under a
// stated assumption.
//
// The models are means over a few young adults. They differ from each other
// by an hour and more, and from a person by more than that; show at least two
// with their spread ([Compare]) and never as a promise.
//
// Not modelled: the person (sensitivity differs up to sixtyfold), sleep and
// meals acting on the clock, colour beyond the input's definition, history
// before the start state.
package clock

// Caution goes with every result shown to people.
const Caution = "Computed by models of an average clock; models differ from each other by an hour or more and people differ from them by more. Not a prediction for you, not medical advice."
