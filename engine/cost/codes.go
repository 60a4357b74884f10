package cost

// Price codes of the lines the engine derives; the table stands in the package
// comment.
const (
	CodeClamp           = "clamp_and_safety"
	CodePipe            = "pipe"
	CodePierArm         = "pier_arm"
	CodeCircuit         = "circuit"
	CodeCircuitExtra    = "circuit_extra_m"
	CodeDataCable       = "data_cable"
	CodeSplitter        = "splitter"
	CodeWallPanel       = "wall_panel"
	CodeConsole         = "console"
	CodeHouseControl    = "house_control"
	CodeDimmerBypass    = "dimmer_bypass"
	CodeLiftDay         = "lift_hire_day"
	CodeLiftDelivery    = "lift_delivery"
	CodeTower           = "tower_hire"
	CodeBoards          = "boards"
	CodeSeatingHardware = "seating_hardware"
	CodeEngineer        = "engineer_letter"
	CodePermit          = "permit"
	CodeAsbestos        = "asbestos_inspection"
	CodeInstall         = "install_hour"
)

// Codes of own work: no money, hours only.
const (
	CodeOwnSeating = "own_seating"
	CodeOwnUnpack  = "own_unpack"
	CodeOwnFloor   = "own_floor_help"
	CodeOwnClean   = "own_clean"
)

// PriceCodes lists every code a project may price, sorted as in the package
// comment; fixture codes come on top.
func PriceCodes() []string {
	return []string{CodeClamp, CodePipe, CodePierArm, CodeCircuit, CodeCircuitExtra, CodeDataCable, CodeSplitter,
		CodeWallPanel, CodeConsole, CodeHouseControl, CodeDimmerBypass, CodeLiftDay, CodeLiftDelivery, CodeTower,
		CodeBoards, CodeSeatingHardware, CodeEngineer, CodePermit, CodeAsbestos, CodeInstall}
}
