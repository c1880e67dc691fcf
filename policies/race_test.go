//go:build race

package policies_test

// raceDetector: a judgement then takes ten times as long, and what the detector
// looks for shows in a few, so the many-fold proofs try one change in forty.
const raceDetector = true
