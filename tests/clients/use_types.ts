// Types only: that what is right is taken, and that what is wrong is refused where it stands.
import createClient from "openapi-fetch";
import type { components, paths } from "./contract";

type Schemas = components["schemas"];

const client = createClient<paths>({ baseUrl: "http://127.0.0.1:8080" });

export async function gross(job: Schemas["Job"]): Promise<number> {
  const { data, error } = await client.POST("/v1/price", { body: job, params: { query: { workings: true } } });
  if (data === undefined) {
    throw new Error(`${error.code}: ${error.detail}`);
  }
  // a member of an answer is there or left out, and never null
  const reference: string | undefined = data.reference;
  return reference === "free" ? 0 : data.price.gross;
}

/** Each kind leads to the members of its own. */
export function size(emitter: Schemas["Emitter"]): number | null | undefined {
  switch (emitter.kind) {
    case "radiator":
      return emitter.fit?.length_max_mm;
    case "fan_convector":
      return emitter.sound_max_db;
    case "heated_floor":
      return emitter.tail_m;
    default: {
      const none: never = emitter;
      return none;
    }
  }
}

export const radiator: Schemas["EmitterRadiator"] = { kind: "radiator", towel_rail: true };

// @ts-expect-error a radiator is no floor
export const floor: Schemas["EmitterRadiator"] = { kind: "heated_floor" };

// @ts-expect-error there is no such kind
export const emitter: Schemas["Emitter"] = { kind: "stove" };
