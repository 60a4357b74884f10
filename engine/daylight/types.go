package daylight

import (
	"time"

	"roodbeam/engine/brief"
	"roodbeam/engine/finding"
	"roodbeam/engine/light"
	"roodbeam/engine/room"
	"roodbeam/engine/survey"
)

// Input is what Evaluate needs. From is the first day of the year looked at;
// Location the church's time zone, nil for UTC. Light gives the zones' faces
// and their key; Transport the light that the room reflects, nil for none.
type Input struct {
	Room      room.Room
	Brief     brief.Brief
	Survey    survey.Survey
	Light     light.Report
	Transport *light.Transport
	From      time.Time
	Location  *time.Location
	Book      *finding.Book
	Region    string
	// Year returns what NewYear does, from a cache the caller keeps; nil makes it
	// anew.
	Year func(Setting, *light.Transport) *Year
}

// Report is the daylight of the year at the hours of the services.
type Report struct {
	Hours   []Hour     // per service: the hour of its year with most daylight on a face
	Zones   []Zone     // at the worst of them
	Windows []Window   // same
	Patches []SunPatch // sun on the platform at the services' worst hours
	Sun     []SunTime  // every moment looked at with sun on the platform, by service and time
	Cameras []Camera   // at the worst hour, by camera and zone
	Worst   string     // service whose worst hour is the year's
	// AverageFactorPct is the room's average daylight factor; NaN unknown.
	AverageFactorPct float64
	Limits           []string // what was taken or left out, for people

	placeUnknown bool // the sun could not be followed
}

// Hour is a moment of a service.
type Hour struct {
	Service         string
	When            time.Time // in the church's zone
	SunElevationDeg float64
	SunAzimuthDeg   float64 // from north clockwise
	FaceLx          float64 // most daylight on any face's plane, without reflected light
	SunLx           float64 // the sun's part of it
	Zone, Face      string  // where; empty: none
	Window          string  // through which the sun comes; empty: no sun on a face
	Blind           bool    // of that window
	WindowCdM2      float64 // brightest window as seen from the seats, from the platform where it faces away from them
	BrightWindow    string  // which
	SunHours        int     // of the year's hours looked at in which the sun meets a face
	HoursSeen       int
}

// Zone is the daylight on a zone's faces at the worst hour.
type Zone struct {
	Name        string
	SunLx       float64 // most on a face
	SkyLx       float64 // from windows in view, average
	ReflectedLx float64 // from the room, average
	TotalLx     float64 // average, all three
	OvercastLx  float64 // average on an overcast day at the same hour
	KeyPct      float64 // total in percent of the zone's key light; NaN without a key
}

// Camera is the daylight on a zone's faces, on upright planes toward one camera,
// at the worst hour.
type Camera struct {
	Camera, Zone     string
	Lx               float64 // average over the faces, sun, windows and reflected
	ChromaX, ChromaY float64 // CIE 1931 chromaticity of it; 0 in the dark
}

// SunTime is a moment of a service at which the sun stands on the platform.
type SunTime struct {
	Service string
	When    time.Time // in the church's zone
	AreaM2  float64   // of all patches
	MostLx  float64   // of the sun in the brightest, on the level
	Windows []string  // through which, sorted
	Blind   bool      // all of them have one
}

// Window is a window at the worst hour.
type Window struct {
	Name          string
	Glass         string
	Transmittance float64 // straight on, frame and dirt included
	Assumed       bool    // the kind of glass is not in the survey
	Measured      bool    // the transmittance was read in the room
	// Low and High bound the transmittance of the glass alone, by its kind.
	Low, High        float64
	ChromaX, ChromaY float64 // CIE 1931 chromaticity of its light, clear day
	OutsideLx        float64 // on its outside, clear day
	LuminanceCdM2    float64 // as seen from the seats, from the platform where it faces away from them
	OvercastCdM2     float64 // same on an overcast day
	FluxLm           float64 // into the room, clear day
}

// SunPatch is where the sun falls on the platform through one window.
type SunPatch struct {
	Service string
	When    time.Time
	Window  string
	Polygon []Corner // on the platform, counter-clockwise seen from above
	AreaM2  float64
	Lx      float64 // of the sun, on the level
	Blind   bool
}

// Corner is a point of a sun patch on the platform, m.
type Corner struct{ XM, YM float64 }
