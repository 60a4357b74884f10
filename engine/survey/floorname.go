package survey

import (
	"slices"
	"strings"
)

// People call a floor by more than one name. These are all the names that are
// taken for another, beside what the survey declares; there is no other rule, so
// that a slip of the pen is no floor:
//
//   - the hall floor is also called floor, hall, ground floor or main floor;
//   - the platform is also called platform floor;
//   - a gallery "left" is also called left gallery, left balcony or gallery left;
//   - gallery or balcony alone is every gallery, where they are on one height;
//   - "the" before a name, "floor" after it, case, and _ or - for a space count
//     for nothing.
var floorWords = map[string][]string{
	HallFloor:  {"hall", "floor", "ground floor", "main floor"},
	"platform": {"platform floor"},
}

// folded is a name without what counts for nothing: case, spaces before, after
// and twice in it, and signs people write for a space.
func folded(name string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r == ' ' || r == '_' || r == '-' || r == '\t' }), " ")
}

// floorKey is the same text for all names of one floor.
func floorKey(name string) string {
	n := strings.TrimPrefix(folded(name), "the ")
	for floor, words := range floorWords {
		if n == floor || slices.Contains(words, n) {
			return floor
		}
	}
	if n != "floor" {
		n = strings.TrimSuffix(n, " floor")
	}
	if isGalleryWord(n) {
		return anyGallery
	}
	words := strings.Fields(n)
	switch last := len(words) - 1; {
	case last > 0 && isGalleryWord(words[last]):
		words = words[:last]
	case last > 0 && isGalleryWord(words[0]):
		words = words[1:]
	default:
		return n
	}
	if rest := strings.Join(words, " "); rest != "platform" && rest != "hall" {
		return rest
	}
	return n
}

// anyGallery is the key of a gallery without a name of its own.
const anyGallery = "gallery"

func isGalleryWord(w string) bool { return w == "gallery" || w == "balcony" }

// isGallery tells whether a floor's name says that it is a gallery.
func isGallery(name string) bool {
	return slices.ContainsFunc(strings.Fields(folded(name)), isGalleryWord)
}

// isHall tells whether a name is the hall floor's; empty is, since nobody said
// anything else.
func isHall(name string) bool { return folded(name) == "" || floorKey(name) == HallFloor }

func sameLevel(a, b string) bool { return floorKey(a) == floorKey(b) }

// GalleryLevel is the name of a gallery's floor: "left gallery" for a gallery "left".
func GalleryLevel(name string) string { return galleryLevel(name) }

// IsHallFloor tells whether people mean the hall floor by a name; an empty one is
// taken for it.
func IsHallFloor(name string) bool { return isHall(name) }

// FloorsCalled returns those of the names of floors that given stands for: the
// one it names, else every gallery where it is the plain word; none where it
// names no floor. The hall floor is only returned when it is among names.
func FloorsCalled(given string, names []string) []string {
	var out []string
	for _, n := range names {
		if sameLevel(n, given) {
			out = append(out, n)
		}
	}
	if len(out) > 0 || floorKey(given) != anyGallery {
		return out
	}
	for _, n := range names {
		if isGallery(n) {
			out = append(out, n)
		}
	}
	return out
}
