package drawing

// Collision is two texts of a drawing that cover each other, with the area both
// boxes share, mm².
type Collision struct {
	A, B string
	MM2  float64
}

// Collisions returns every two texts of a scene whose boxes share more than
// tolerance, mm².
func Collisions(s Scene, tolerance float64) []Collision {
	var texts []Text
	var boxes []Rect
	for _, it := range s.Items {
		if it.Text != nil && it.Text.Value != "" {
			texts, boxes = append(texts, *it.Text), append(boxes, TextBox(*it.Text))
		}
	}
	var out []Collision
	for i := range boxes {
		for j := range i {
			if a := boxes[i].overlap(boxes[j]); a > tolerance {
				out = append(out, Collision{texts[j].Value, texts[i].Value, a})
			}
		}
	}
	return out
}
