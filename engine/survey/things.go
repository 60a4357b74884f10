package survey

import "time"

// Wall is one side of the floor, from corner to corner, with what is cut into it.
type Wall struct {
	Name     string
	From, To string // station names of its corners
	Material string // brick, block, stone, stud, concrete, panelling; empty: unknown
	Openings []Opening
	State    State
	Note     string
}

// Opening is a door, arch, hatch or niche in a wall.
type Opening struct {
	Name          string
	Kind          string // door, arch, hatch, niche
	Along         L      // from the wall's From corner to the opening's middle
	Width, Height L
	Sill          L // lower edge above the hall floor; unknown: the floor
	State         State
}

// CeilingStep is a part of a stepped ceiling: from FromY upstage, up to the next
// step, it has this height.
type CeilingStep struct{ FromY, Height L }

// StepFlight is one flight of steps up to the platform.
type StepFlight struct {
	Name      string
	Centre    Place // middle of its top edge, where it meets the platform
	Width     L
	Risers    int
	Going     L       // depth of one tread
	FacingDeg float64 // plan bearing toward which one walks down, degrees, 0 toward the congregation
	State     State
}

// KeepInView is something people want to go on seeing, and whether it may be lit.
type KeepInView struct {
	Name          string
	Kind          string // cross, window, mural, organ, altar, beam, other
	Centre        Place  // Z unknown when Bottom is given
	Width, Height L
	Bottom        L // above the hall floor
	FacingDeg     float64
	MayLight      string // yes, no, ask
	State         State
	Note          string
}

// Conduit is a pipe, tray or duct a cable could go through.
type Conduit struct {
	Name       string
	From, To   Place
	Length     L      // along its route; unknown: from its ends
	Size       L      // inner diameter, or the smaller side
	PullString string // yes, no, unknown
	Holds      string // what is in it
	Use        string // power, data, audio, empty, unknown
	State      State
	Note       string
}

// Door is one door or opening on the lift's way in.
type Door struct {
	Name          string
	Width, Height L      // clear, with the leaf open
	Threshold     L      // height of the sill one drives over
	Mullion       string // none, fixed, removable, unknown
	State         State
}

// Photo is what is known of a photograph; the picture is kept by its hash.
type Photo struct {
	ID           string
	Of           string // what it belongs to: "line W1", "panel P1", "measurement m3", a checklist item
	Caption      string
	By           string // role: "a volunteer"
	Taken        time.Time
	Bearing      bool    // DirectionDeg is known
	DirectionDeg float64 // toward which the camera looked, from north clockwise
	Hash         string  // SHA-256 of the picture as kept, hexadecimal
	Thumb        string  // of the small picture
	MediaType    string
	WidthPx      int
	HeightPx     int
	Bytes        int
}

// Narrowest returns the least clear width and height among a route's doors, the
// one given for the whole way included; unknown where none is known.
func (r AccessRoute) Narrowest() (width, height L) {
	width, height = r.DoorWidth, r.DoorHeight
	for _, d := range r.Doors {
		if d.State == Removed {
			continue
		}
		if d.Width.Set && (!width.Set || d.Width.Value < width.Value) {
			width = d.Width
		}
		if d.Height.Set && (!height.Set || d.Height.Value < height.Value) {
			height = d.Height
		}
	}
	return width, height
}

// ridged tells whether the ceiling has a ridge or crown above its eaves.
func (c Ceiling) ridged() bool {
	switch c.Shape {
	case "gable", "hipped", "barrel", "a_frame":
		return true
	}
	return false
}

func (c Ceiling) flatOrUnknown() bool { return !c.ridged() && c.Shape != "stepped" }
