// Package finding holds the one type in which every stage reports what a
// person must know: codes and limits are data (one file per code under
// codes/), texts are a code plus arguments, and a clearing hangs on the key and
// the fingerprint of the values it rests on.
//
// A stage that computed a quantity calls Check, which compares it with the
// limits of the code's file and returns a finding when one is passed. A stage
// that saw something without a limit calls New.
package finding

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"sort"
	"strconv"
	"strings"
)

// Severity orders findings by what they block.
type Severity int

// Note informs, Warn asks for a decision, Stop keeps a packet from being issued
// for construction.
const (
	Note Severity = iota + 1
	Warn
	Stop
)

// String returns "note", "warn" or "stop".
func (s Severity) String() string {
	switch s {
	case Note:
		return "note"
	case Warn:
		return "warn"
	case Stop:
		return "stop"
	}
	return "severity(" + strconv.Itoa(int(s)) + ")"
}

// Owner is the person who can clear a finding, by role.
type Owner string

// The owners. The trades own the limits that guard people; leadership owns
// money and permission only.
const (
	Designer    Owner = "designer"
	Volunteer   Owner = "volunteer"
	Electrician Owner = "licensed electrician"
	Engineer    Owner = "structural engineer"
	Rigger      Owner = "qualified rigger"
	FireAlarm   Owner = "fire-alarm contractor"
	LiftHire    Owner = "lift hire firm"
	Hazards     Owner = "hazardous-materials inspector"
	Leadership  Owner = "leadership"
)

// Finding is one thing a person must know, decide or sign.
type Finding struct {
	Code        string
	Key         string // what it is about; stable while values change
	Fingerprint string // of the values it rests on
	Severity    Severity
	Owner       Owner
	Subject     string  // "unit R1", "circuit W1a", "line W1"
	Value       float64 // the quantity found, in Unit; 0 when the code has none
	Limit       float64 // the bound it was held against, in Unit
	Unit        string
	HasValue    bool
	HasLimit    bool
	Source      string // of the limit: standard and clause, or "common practice"
	Args        []Arg
}

// Check holds value, in the unit of the code's file, against the code's limits;
// it returns the finding and true when the strictest bound is passed. A NaN
// value is reported as a finding, since a limit that cannot be shown to hold
// does not hold. region selects bounds that apply in one region only.
func (b *Book) Check(code, region, subject string, value float64, args ...Arg) (Finding, bool) {
	c := b.must(code)
	bound, ok := c.strictest(region)
	if !ok {
		panic("finding: code " + code + " has no limit; use New")
	}
	if !bound.passedBy(value) {
		return Finding{}, false
	}
	f := b.New(code, subject, args...)
	f.Value, f.HasValue = value, true
	f.Limit, f.HasLimit = bound.Value, true
	f.Source = c.sources(region)
	f.Fingerprint = fingerprint(f)
	return f, true
}

// New returns the finding of a code about a subject. An unknown code is a
// programming error and panics.
func (b *Book) New(code, subject string, args ...Arg) Finding {
	c := b.must(code)
	f := Finding{
		Code: code, Key: code + "/" + subject, Severity: c.severity, Owner: c.Owner,
		Subject: subject, Unit: c.Unit, Source: c.Source, Args: args,
	}
	f.Fingerprint = fingerprint(f)
	return f
}

// RestingOn returns the finding with a fingerprint that also covers basis, the
// values a signature rests on beyond those its text names; and its value and
// limit, where they were set after it was made. An empty basis adds nothing.
func (f Finding) RestingOn(basis string) Finding {
	if basis != "" {
		sum := sha256.Sum256([]byte(basis))
		f.Args = append(append([]Arg(nil), f.Args...), Text("rests_on", hex.EncodeToString(sum[:6])))
	}
	f.Fingerprint = fingerprint(f)
	return f
}

// Sort orders findings by severity (stop first), then code, then key.
func Sort(fs []Finding) {
	sort.SliceStable(fs, func(i, j int) bool {
		a, b := fs[i], fs[j]
		if a.Severity != b.Severity {
			return a.Severity > b.Severity
		}
		if a.Code != b.Code {
			return a.Code < b.Code
		}
		return a.Key < b.Key
	})
}

// Count returns how many findings have the severity.
func Count(fs []Finding, s Severity) int {
	n := 0
	for _, f := range fs {
		if f.Severity == s {
			n++
		}
	}
	return n
}

// fingerprint hashes what a clearing rests on: the value, the limit and every
// argument, at four significant digits, so that noise below what anyone could
// act on does not make a clearing lapse.
func fingerprint(f Finding) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s|%d|%.4g|%.4g|%s", f.Key, f.Severity, f.Value, f.Limit, f.Unit)
	for _, a := range f.Args {
		fmt.Fprintf(&b, "|%s=%s:%.4g:%s", a.Name, a.Kind, a.Num, a.Text)
	}
	sum := sha256.Sum256([]byte(b.String()))
	return hex.EncodeToString(sum[:8])
}
