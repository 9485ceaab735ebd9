/** Where arrays of a number an hour come from, all zero. */
export interface HourRooms {
  bytes(hours: number): Uint8Array;
  words(hours: number): Uint16Array;
  floats(hours: number): Float32Array;
}

/** Arrays of their own, for whoever keeps them. */
export const NEW_ROOMS: HourRooms = {
  bytes: (hours) => new Uint8Array(hours),
  words: (hours) => new Uint16Array(hours),
  floats: (hours) => new Float32Array(hours),
};

type Hourly = Uint8Array | Uint16Array | Float32Array;

/** Arrays of one kind in the order in which they are asked for. */
class Shelf<A extends Hourly> {
  readonly #kept: A[] = [];
  readonly #make: (hours: number) => A;
  #taken = 0;

  constructor(make: (hours: number) => A) {
    this.#make = make;
  }

  clear(): void {
    this.#taken = 0;
  }

  take(hours: number): A {
    const place = this.#taken++;
    let own = this.#kept[place];
    if (!own || own.length < hours) {
      own = this.#make(hours);
      // A site of very many inverters leaves no more behind than others need.
      if (place < MOST_KEPT) this.#kept[place] = own;
      return own;
    }
    const view = own.length === hours ? own : (own.subarray(0, hours) as A);
    view.fill(0);
    return view;
  }
}

const MOST_KEPT = 16;

/**
 * The same arrays for one site after the other: making megabytes of them for each, and collecting them, costs more than many of
 * the sums in them. What is taken holds until `clear`, so nothing that outlives a site may hold on to it.
 */
export class KeptRooms implements HourRooms {
  readonly #bytes = new Shelf((hours) => new Uint8Array(hours));
  readonly #words = new Shelf((hours) => new Uint16Array(hours));
  readonly #floats = new Shelf((hours) => new Float32Array(hours));

  clear(): void {
    this.#bytes.clear();
    this.#words.clear();
    this.#floats.clear();
  }

  bytes(hours: number): Uint8Array {
    return this.#bytes.take(hours);
  }

  words(hours: number): Uint16Array {
    return this.#words.take(hours);
  }

  floats(hours: number): Float32Array {
    return this.#floats.take(hours);
  }
}
