// Package policies holds the releases of the rule set, one folder a version,
// and releases.yaml with the state of each. It judges and checks nothing:
// engine/ruleset reads what lies here.
package policies

import "embed"

//go:generate go run ../engine/ruleset/internal/gencatalogue .

// FS is the policies folder: releases.yaml and the version folders.
//
//go:embed releases.yaml all:[0-9]*
var FS embed.FS
