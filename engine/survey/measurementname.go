package survey

import (
	"fmt"
	"strings"
)

// NameOf returns the words by which people know what stands under an id in a
// network: for a measurement what it measured, with its id where a person gave
// one, and else with what was read and by whom, since nobody knows a made id.
// An id that is no measurement's, such as a line's typed height, comes back as
// it is.
func NameOf(s Survey, id string) string {
	base, more := id, ""
	if i := strings.Index(id, " reading "); i > 0 {
		base, more = id[:i], id[i:]
	}
	if b, ok := strings.CutSuffix(base, " inclination"); ok {
		base, more = b, " inclination"+more
	}
	same, name := 0, ""
	for _, m := range s.Measurements {
		n := nameOf(m)
		if m.ID == base && m.ID != "" {
			name = n
			break
		}
	}
	if name == "" {
		return id
	}
	for _, m := range s.Measurements {
		if m.ID == base {
			break
		}
		if nameOf(m) == name {
			same++
		}
	}
	if same > 0 {
		more = fmt.Sprintf(", entry %d of it", same+1) + more
	}
	return name + more
}

func nameOf(m Measurement) string { return called(measured(m), m) }

// called tells which measurement of a thing is meant.
func called(what string, m Measurement) string {
	if !madeID(m.ID) {
		return what + " (" + m.ID + ")"
	}
	if m.Value.Text != "" {
		what += ", " + m.Value.Text
	} else if m.Angle.Text != "" {
		what += ", " + m.Angle.Text
	}
	if m.By != "" {
		what += " by " + m.By
	}
	return what
}

// measured says what a measurement measures.
func measured(m Measurement) string {
	ends := m.From + " – " + m.To
	switch m.Kind {
	case Height:
		if isHall(m.Reference) {
			return "height of " + m.To
		}
		return "height of " + m.To + " above the " + floorName(m.Reference)
	case Distance:
		return "distance " + ends
	case Horizontal:
		return "plan distance " + ends
	case Drawn:
		return "drawn distance " + ends
	case Rise:
		return "rise " + ends
	case OffsetX:
		return "offset of " + m.To + " from the centre line"
	case OffsetY:
		return "distance of " + m.To + " from the platform's front edge"
	case Square:
		return "square corner " + m.At
	case SameHeight:
		return "same height " + ends
	case Slope:
		return "slope " + ends
	case Angle:
		return "angle " + m.From + " – " + m.At + " – " + m.To
	case Offset:
		return "distance of " + m.To + " from the wall " + m.From + " – " + m.At
	case Parallel:
		return "parallel walls " + m.From + " – " + m.At + " and " + m.To + " – " + m.With
	}
	return "measurement"
}

// madeID tells whether an id was made by a machine: a UUID (RFC 9562, section 4).
func madeID(id string) bool {
	if len(id) != 36 {
		return false
	}
	for i, r := range id {
		switch dash := i == 8 || i == 13 || i == 18 || i == 23; {
		case dash && r == '-':
		case !dash && strings.ContainsRune("0123456789abcdefABCDEF", r):
		default:
			return false
		}
	}
	return true
}
