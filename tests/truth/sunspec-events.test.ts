import { describe, expect, test } from "vitest";
import { decodeCode } from "../../lib/faults/fault-code.ts";
import { decodeSunspec } from "../../lib/faults/sunspec-events.ts";

// SunSpec Alliance model definitions, repository sunspec/models, commit 7abdf898, json/model_N.json.
describe("decodeSunspec", () => {
  test.each([
    [103, "Evt1", 0x00000001, ["GROUND_FAULT"]],
    [103, "Evt1", 0x00001001, ["GROUND_FAULT", "BLOWN_STRING_FUSE"]],
    [403, "Evt", 0x00001001, ["LOW_VOLTAGE", "GROUNDFAULT"]],
    [701, "Alrm", 0x00010001, ["GROUND_FAULT", "MANUFACTURER_ALRM"]],
    [714, "DCAlrm", 0x00008001, ["GROUND_FAULT", "ARC_DETECTION"]],
    [802, "Evt1", 0x00400000, ["GROUND_FAULT"]],
    [160, "Evt", 1, ["GROUND_FAULT"]],
  ])("model %i, point %s, value %i", (model, point, value, events) => {
    expect(decodeSunspec(model, point, value)).toEqual(events);
  });

  test("bit 12 is a blown fuse in an inverter and a ground fault in a combiner: never decoded without the model", () => {
    expect(decodeSunspec(101, "Evt1", 1 << 12)).toEqual(["BLOWN_STRING_FUSE"]);
    expect(decodeSunspec(404, "InEvt", 1 << 12)).toEqual(["GROUNDFAULT"]);
    expect(() => decodeSunspec(711, "Alrm", 1)).toThrow(RangeError);
  });

  test("all ones and any value with the highest bit set mean not implemented", () => {
    expect(decodeSunspec(103, "Evt1", 0xffffffff)).toBeNull();
    expect(decodeSunspec(103, "Evt1", 0x80000001)).toBeNull();
  });
});

describe("decodeCode", () => {
  const none = new Map();
  test("reads Evt1 as an integer, as hex and by name, and several bits are several events", () => {
    for (const code of ["1", "0x1", "0x00000001", "GROUND_FAULT", "ground_fault"]) {
      expect(decodeCode(code, "sunspec_evt1", none).events).toEqual(["GROUND_FAULT"]);
    }
    expect(decodeCode("17", "sunspec_evt1", none).events).toEqual(["GROUND_FAULT", "GRID_DISCONNECT"]);
  });

  test("0 ends what is open; both not-implemented values are no event", () => {
    expect(decodeCode("0", "sunspec_evt1", none)).toEqual({ events: [], ends: true, known: true });
    for (const code of ["0xFFFFFFFF", "4294967295", "0xFFFF", "65535"]) {
      expect(decodeCode(code, "sunspec_evt1", none)).toEqual({ events: [], ends: false, known: true });
    }
  });

  test("a code that its vocabulary does not hold is OTHER and counted", () => {
    const own = new Map([
      ["field_codes\u0000E214", { codeSystem: "field_codes", code: "E214", event: "ground_fault", detector: null }],
    ]);
    expect(decodeCode("E214", "field_codes", own)).toEqual({ events: ["GROUND_FAULT"], ends: false, known: true });
    expect(decodeCode("E999", "field_codes", own)).toEqual({ events: ["OTHER"], ends: false, known: false });
    expect(decodeCode("nonsense", "sunspec_evt1", own)).toEqual({ events: ["OTHER"], ends: false, known: false });
    expect(decodeCode("65536", "sunspec_evt1", own)).toEqual({ events: ["OTHER"], ends: false, known: false });
  });
});
