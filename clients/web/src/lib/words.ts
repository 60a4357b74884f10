/** Plain words for the API's enums. */

import { Role } from "../gen/roodbeam/v1/access_service_pb";
import { FindingOwner, Severity } from "../gen/roodbeam/v1/finding_pb";
import { PacketStatus } from "../gen/roodbeam/v1/packet_service_pb";
import { Instrument, MeasurementKind } from "../gen/roodbeam/v1/survey_pb";

export const severityWord: Record<Severity, string> = {
  [Severity.UNSPECIFIED]: "Other",
  [Severity.STOP]: "Stop",
  [Severity.WARN]: "Warning",
  [Severity.NOTE]: "Note",
};

export const ownerWord: Record<FindingOwner, string> = {
  [FindingOwner.UNSPECIFIED]: "nobody named",
  [FindingOwner.DESIGNER]: "designer",
  [FindingOwner.VOLUNTEER]: "volunteer who measures",
  [FindingOwner.LICENSED_ELECTRICIAN]: "licensed electrician",
  [FindingOwner.STRUCTURAL_ENGINEER]: "structural engineer",
  [FindingOwner.QUALIFIED_RIGGER]: "qualified rigger",
  [FindingOwner.FIRE_ALARM_CONTRACTOR]: "fire-alarm contractor",
  [FindingOwner.LIFT_HIRE_FIRM]: "lift hire firm",
  [FindingOwner.HAZARDOUS_MATERIALS_INSPECTOR]: "hazardous-materials inspector",
  [FindingOwner.LEADERSHIP]: "church leadership",
};

export const roleWord: Record<Role, string> = {
  [Role.UNSPECIFIED]: "administrator",
  [Role.VIEWER]: "reader",
  [Role.VOLUNTEER]: "volunteer",
  [Role.DESIGNER]: "designer",
  [Role.MANAGER]: "manager",
  [Role.LEADERSHIP]: "leadership",
  [Role.LICENSED_ELECTRICIAN]: "licensed electrician",
  [Role.STRUCTURAL_ENGINEER]: "structural engineer",
  [Role.QUALIFIED_RIGGER]: "qualified rigger",
  [Role.FIRE_ALARM_CONTRACTOR]: "fire-alarm contractor",
  [Role.LIFT_HIRE_FIRM]: "lift hire firm",
  [Role.HAZARDOUS_MATERIALS_INSPECTOR]: "hazardous-materials inspector",
};

export const statusWord: Record<PacketStatus, string> = {
  [PacketStatus.UNSPECIFIED]: "status not stated",
  [PacketStatus.FOR_APPROVAL]: "for approval",
  [PacketStatus.FOR_PRICING]: "for pricing",
  [PacketStatus.FOR_CONSTRUCTION]: "for construction",
  [PacketStatus.AS_BUILT]: "as built",
};

export const instrumentWord: Record<Instrument, string> = {
  [Instrument.UNSPECIFIED]: "I don't know",
  [Instrument.STEEL_TAPE]: "Steel tape",
  [Instrument.FIBRE_TAPE]: "Cloth or fibreglass tape",
  [Instrument.LASER]: "Laser distance meter",
  [Instrument.LASER_EITHER_END]: "Laser, not sure which end it measured from",
  [Instrument.PHONE_AR]: "Phone camera",
  [Instrument.PHONE_LIDAR]: "Phone with a depth scanner",
  [Instrument.CLINOMETER]: "Angle meter",
  [Instrument.COUNTED]: "Counted bricks, blocks or boards",
  [Instrument.COUNTED_TILES]: "Counted ceiling or floor tiles",
  [Instrument.DRAWING]: "Read from a drawing",
  [Instrument.GUESS]: "Guessed by eye",
};

/** What a kind of measurement asks for on a form. */
export interface KindForm {
  kind: MeasurementKind;
  /** In the list of kinds. */
  title: string;
  help: string;
  /** Labels of the fields it needs; an absent one is not shown. */
  from?: string;
  at?: string;
  to: string;
  /** Second point of the second wall. */
  with?: string;
  /** A length. */
  value?: string;
  /** In degrees. */
  angle?: string;
  /** What the field of the length or angle shows as long as it is empty; the usual lengths when absent. */
  example?: string;
  /** Instrument it is always taken with; asked for when absent. */
  instrument?: Instrument;
  /** Whether hanging lines, floors and the ceiling may be named as well as points. */
  things: boolean;
  /** Whether to ask from which floor. */
  floor?: true;
  /** Words for the positive and negative side. */
  sides?: [string, string];
}

export const kindForms: readonly KindForm[] = [
  { kind: MeasurementKind.HEIGHT, title: "A height above a floor", help: "From the floor straight up to the underside.", to: "Height of", value: "Height", things: true, floor: true },
  { kind: MeasurementKind.DISTANCE, title: "A straight distance between two points", help: "The tape or beam runs straight from one to the other, level or not.", from: "From", to: "To", value: "Distance", things: false },
  { kind: MeasurementKind.HORIZONTAL, title: "A level distance between two points", help: "As on a floor plan: held level, or along the floor.", from: "From", to: "To", value: "Distance", things: false },
  { kind: MeasurementKind.RISE, title: "How much higher one point is than another", help: "Straight up from the lower to the higher.", from: "Lower point", to: "Higher point", value: "Difference", things: true },
  { kind: MeasurementKind.OFFSET_X, title: "How far to the side of the middle line", help: "The middle line runs through the middle of the platform's front edge, along the room.", to: "Of", value: "Distance", things: true, sides: ["to the right, as seen from the seats", "to the left, as seen from the seats"] },
  { kind: MeasurementKind.OFFSET_Y, title: "How far from the platform's front edge", help: "Along the room, level.", to: "Of", value: "Distance", things: true, sides: ["toward the wall behind the platform", "toward the seats"] },
  { kind: MeasurementKind.OFFSET, title: "How far something stands from a wall", help: "Name two points of the wall. Stand on the floor, hold the tape or laser level and square to the wall: of all readings the shortest is right.", from: "One point of the wall", at: "Another point of the wall", to: "Distance from the wall of", value: "Distance", things: false, example: `e.g. 4' 2"  or  1.27 m` },
  { kind: MeasurementKind.SLOPE, title: "A sloping distance, with how steep it is", help: "For a laser that shows its tilt: stand on the floor, aim at the point and write down both numbers. The tilt is more than 0 when the laser points up, less than 0 when it points down.", from: "From (where the laser was held)", to: "To (what it was aimed at)", value: "Distance along the beam", angle: "Tilt from level", things: false, example: `e.g. 24' 3"  or  7.39 m` },
  { kind: MeasurementKind.ANGLE, title: "An angle between two directions on the floor", help: "Stand over a point on the floor with an angle meter or compass. Aim at the first point, turn to the right until you aim at the second, and write down how far you turned.", from: "First point aimed at", at: "Where you stood", to: "Second point, reached by turning right", angle: "Angle turned", things: false },
  { kind: MeasurementKind.DRAWN, title: "A number written on an old drawing", help: "Copy the number that is printed beside the line, with its unit. Do not measure the paper: copies shrink and stretch.", from: "From", to: "To", value: "Number on the drawing", things: false, instrument: Instrument.DRAWING, example: `e.g. 42'-0"  or  12.80 m` },
  { kind: MeasurementKind.SQUARE, title: "A corner that looks square", help: "No number: the walls meet at a right angle as far as you can see.", from: "One wall's far point", at: "The corner", to: "Other wall's far point", things: false },
  { kind: MeasurementKind.PARALLEL, title: "Two walls that look parallel", help: "No number: as far as you can see from the floor, they stay equally far apart along the room.", from: "One wall, first point", at: "One wall, second point", to: "Other wall, first point", with: "Other wall, second point", things: false },
  { kind: MeasurementKind.SAME_HEIGHT, title: "Two points that are equally high", help: "No number: for instance both ends of a level beam.", from: "One", to: "The other", things: true },
];

/** Returns the form of a kind; that of a straight distance for kinds nobody asks volunteers for. */
export function kindForm(kind: MeasurementKind): KindForm {
  return kindForms.find((f) => f.kind === kind) ?? { kind, title: "A measurement", help: "", from: "From", to: "To", value: "Value", things: true };
}

/** Says in one line what was measured: "Height of W1". */
export function whatIsMeasured(m: { kind: MeasurementKind; from: string; at: string; to: string; with: string; reference: string }): string {
  switch (m.kind) {
    case MeasurementKind.HEIGHT:
      return `Height of ${m.to} above ${m.reference === "" ? "a floor that was not said" : m.reference}`;
    case MeasurementKind.RISE:
      return `${m.to} above ${m.from}`;
    case MeasurementKind.OFFSET_X:
      return `${m.to} from the middle line`;
    case MeasurementKind.OFFSET_Y:
      return `${m.to} from the platform's front edge`;
    case MeasurementKind.SQUARE:
      return `Corner ${m.at} is square, between ${m.from} and ${m.to}`;
    case MeasurementKind.SAME_HEIGHT:
      return `${m.from} and ${m.to} are equally high`;
    case MeasurementKind.HORIZONTAL:
      return `${m.from} to ${m.to}, level`;
    case MeasurementKind.SLOPE:
      return `${m.from} to ${m.to}, sloping`;
    case MeasurementKind.ANGLE:
      return `Angle at ${m.at} from ${m.from} to ${m.to}`;
    case MeasurementKind.OFFSET:
      return `${m.to} from the wall through ${m.from} and ${m.at}`;
    case MeasurementKind.PARALLEL:
      return `The wall ${m.from} to ${m.at} runs parallel to the wall ${m.to} to ${m.with}`;
    case MeasurementKind.DRAWN:
      return `${m.from} to ${m.to}, as drawn`;
    default:
      return `${m.from} to ${m.to}`;
  }
}
