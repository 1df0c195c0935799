// Package dose turns light at the eye into minutes by a published protocol's
// rule, keeps account of exposure, says at which distance a target is met,
// and carries the cautions that go with it all.
//
// Units follow the field and stand in the names: illuminance in lx, melanopic
// equivalent daylight illuminance (MEDI, CIE S 026) in lx, exposure in lx·h,
// sessions in minutes; lengths in m.
//
// Nothing here is medical advice, and no effect on anyone's health is
// promised: the minutes repeat what published trials used. A person who is
// ill, or takes medicines, asks a clinician first; see [Cautions].
//
// Not modelled: where the person looks, blinking, the pupil, age, light in
// the rest of the day, and whether light and time may be traded for each
// other at all outside the tested protocols.
package dose
