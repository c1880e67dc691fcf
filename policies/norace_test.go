//go:build !race

package policies_test

const raceDetector = false
