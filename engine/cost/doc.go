// Package cost turns a design into a bill of materials and an estimate with
// its range.
//
// Every quantity comes from the design: placed units, pipes, circuits, data
// branches, the way each place is reached. A price is looked for under the
// line's code in this order: the project's own prices, the catalogue (for
// fixtures), the region's generic price book. A work or purchase written in the
// brief replaces every derived line of its code; one without a code is added.
//
// The price codes, what one of them buys, and whether it can be bought in an
// earlier phase ("ahead"):
//
//	code                 per    what                                            ahead
//	<fixture code>       each   a fixture or lamp of the catalogue
//	clamp_and_safety     each   clamp and secondary suspension of one unit
//	pipe                 m, ft  pipe under a hanging line with its fixings      yes
//	pier_arm             each   arm or bracket for one unit on a pier or wall   yes
//	circuit              each   one final circuit, all in, by the electrician   yes
//	circuit_extra_m      m, ft  run beyond 30 m; generic circuit price only     yes
//	data_cable           m, ft  data cable with connectors, by data branch      yes, not the house branch
//	splitter             each   data splitter
//	wall_panel           each   wall panel by the entrance
//	console              each   control surface
//	house_control        each   control of the house lights
//	dimmer_bypass        each   taking an old dimmer cabinet out of the way
//	lift_hire_day        day    lift, with its operator's briefing
//	lift_delivery        each   bringing and fetching the lift
//	tower_hire           each   one hire of a mobile tower
//	boards               each   floor protection for the lift, whole job
//	seating_hardware     each   taking fixed seating up and putting it back
//	engineer_letter      each   structural engineer's visit and letter
//	permit               each   electrical permit and inspection
//	asbestos_inspection  each   inspection of an old building before anchors
//	install_hour         h      hired hand that hangs pipes, units and cables
//
// An own price of zero for a code says the thing costs the church nothing, so
// a church whose own qualified people hang prices install_hour at 0. A quoted
// circuit (an own price or a work of that code) is all in, whatever its length. A
// length is priced per foot when the price's unit is "ft", else per metre.
package cost
