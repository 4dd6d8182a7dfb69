// The kinds of a record with their fields. Generated from the record's own tables; never edited by hand.

import type { Kind } from './wire';

/** What a field may hold. */
export type Shape = 'line' | 'prose' | 'whole' | 'flag' | 'day' | 'measure' | 'measures' | 'grid' | 'ending' | 'lies' | 'money' | 'word' | 'link' | 'about' | 'set';

/** One field of a kind. */
export interface FieldDef {
  readonly label: string;
  readonly shape: Shape;
  readonly required: boolean;
  /** The kinds that a link, an about or a set names. */
  readonly to?: readonly Kind[];
  /** The closed set that a word is of. */
  readonly set?: SetName;
}

/** One kind. */
export interface KindDef {
  readonly said: string;
  /** Whether no face offers to strike it out. */
  readonly stays: boolean;
  readonly fields: Readonly<Record<string, FieldDef>>;
}

/** A closed set. */
export type SetName = keyof typeof SETS;

/** The closed sets: each word, and what it is called when it is shown. */
export const SETS = {
  "AssemblyState": {
    "fitted": "fitted",
    "off": "off",
    "apart": "apart",
    "closed": "closed",
    "away": "away"
  },
  "CameBy": {
    "earlier_hand": "an earlier hand",
    "wear": "wear",
    "accident": "an accident",
    "storage": "storage"
  },
  "Condition": {
    "new": "for a new part",
    "wear": "the most wear"
  },
  "Decision": {
    "reuse": "reuse",
    "recondition": "recondition",
    "replace": "replace"
  },
  "Differs": {
    "as_made": "as it was made",
    "other_type": "of another type",
    "other_make": "of another make",
    "home_made": "home-made",
    "stand_in": "a stand-in",
    "left_out": "left out on purpose",
    "aid": "an aid that comes out again"
  },
  "HoldState": {
    "open": "open",
    "met": "met"
  },
  "How": {
    "seen": "seen",
    "counted": "counted",
    "measured": "measured",
    "photographed": "photographed"
  },
  "HowBad": {
    "sound": "sound, nothing wrong",
    "noted": "noted",
    "watch": "watch it",
    "mend": "to mend",
    "danger": "danger"
  },
  "HowSure": {
    "suspected": "suspected",
    "confirmed": "confirmed"
  },
  "JobState": {
    "open": "open",
    "begun": "begun",
    "done": "done",
    "dropped": "dropped",
    "later": "later, not in this round"
  },
  "Layout": {
    "circle": "on a circle",
    "rows": "in rows"
  },
  "Mend": {
    "file": "file",
    "hone": "hone",
    "oversize": "next oversize",
    "shim": "shims",
    "machine": "skim or grind",
    "adjust": "adjust",
    "replace": "replace"
  },
  "OldOne": {
    "pattern": "pattern for the new one",
    "core_owed": "core owed: to be sent back",
    "to_sell": "to sell",
    "spare": "spare",
    "scrap": "scrap"
  },
  "OrderState": {
    "to_find": "to find",
    "asked": "asked for",
    "ordered": "ordered",
    "in": "in",
    "returned": "returned",
    "cancelled": "cancelled"
  },
  "Pattern": {
    "plain": "plain line",
    "dashed": "dashed line",
    "dotted": "dotted line",
    "double": "double line"
  },
  "Property": {
    "size": "the size",
    "out_of_round": "out of round",
    "taper": "taper"
  },
  "Stage": {
    "before": "before",
    "during": "during",
    "after": "after"
  }
} as const;

/** Every kind with its fields, in the order of the record. */
export const KINDS = {
  "car": {
    "said": "car",
    "stays": true,
    "fields": {
      "name": {
        "label": "Name",
        "shape": "line",
        "required": true
      },
      "make": {
        "label": "Make",
        "shape": "line",
        "required": false
      },
      "model": {
        "label": "Model",
        "shape": "line",
        "required": false
      },
      "year": {
        "label": "Year built",
        "shape": "whole",
        "required": false
      },
      "body_number": {
        "label": "Number on the body",
        "shape": "line",
        "required": false
      },
      "engine_number": {
        "label": "Number on the engine",
        "shape": "line",
        "required": false
      },
      "papers_number": {
        "label": "Number in the papers",
        "shape": "line",
        "required": false
      },
      "colour": {
        "label": "Colour",
        "shape": "line",
        "required": false
      },
      "note": {
        "label": "Notes",
        "shape": "prose",
        "required": false
      }
    }
  },
  "keeper": {
    "said": "keeper",
    "stays": true,
    "fields": {
      "name": {
        "label": "Name",
        "shape": "line",
        "required": true
      },
      "pattern": {
        "label": "Line at the edge",
        "shape": "word",
        "required": false,
        "set": "Pattern"
      }
    }
  },
  "device": {
    "said": "device",
    "stays": true,
    "fields": {
      "name": {
        "label": "Name",
        "shape": "line",
        "required": true
      },
      "keeper": {
        "label": "Keeper",
        "shape": "link",
        "required": true,
        "to": [
          "keeper"
        ]
      },
      "key": {
        "label": "Key",
        "shape": "line",
        "required": false
      },
      "seal": {
        "label": "What files for it are sealed to",
        "shape": "line",
        "required": false
      },
      "revoked": {
        "label": "Met no more",
        "shape": "line",
        "required": false
      }
    }
  },
  "assembly": {
    "said": "assembly",
    "stays": false,
    "fields": {
      "name": {
        "label": "Name",
        "shape": "line",
        "required": true
      },
      "parent": {
        "label": "Belongs in",
        "shape": "link",
        "required": false,
        "to": [
          "assembly"
        ]
      },
      "state": {
        "label": "State",
        "shape": "word",
        "required": false,
        "set": "AssemblyState"
      },
      "order": {
        "label": "Place in the list",
        "shape": "line",
        "required": false
      },
      "opened": {
        "label": "Opened",
        "shape": "flag",
        "required": false
      },
      "taken_apart": {
        "label": "Taken off or apart",
        "shape": "flag",
        "required": false
      },
      "off_car": {
        "label": "Off the car, closed as it is",
        "shape": "flag",
        "required": false
      },
      "for_trial": {
        "label": "On for trial",
        "shape": "line",
        "required": false
      },
      "kept_in": {
        "label": "Kept in",
        "shape": "link",
        "required": false,
        "to": [
          "container"
        ]
      },
      "note": {
        "label": "Notes",
        "shape": "prose",
        "required": false
      }
    }
  },
  "part": {
    "said": "part",
    "stays": false,
    "fields": {
      "name": {
        "label": "Name",
        "shape": "line",
        "required": true
      },
      "assembly": {
        "label": "Assembly",
        "shape": "link",
        "required": false,
        "to": [
          "assembly"
        ]
      },
      "position": {
        "label": "Position",
        "shape": "line",
        "required": false
      },
      "way_round": {
        "label": "Way round",
        "shape": "line",
        "required": false
      },
      "order": {
        "label": "Place in the row",
        "shape": "line",
        "required": false
      },
      "marks": {
        "label": "Marks on it",
        "shape": "line",
        "required": false
      },
      "quantity": {
        "label": "How many",
        "shape": "whole",
        "required": false
      },
      "number": {
        "label": "Number on it",
        "shape": "line",
        "required": false
      },
      "decision": {
        "label": "Decision",
        "shape": "word",
        "required": false,
        "set": "Decision"
      },
      "decision_why": {
        "label": "Why so",
        "shape": "line",
        "required": false
      },
      "old_one": {
        "label": "The old one",
        "shape": "word",
        "required": false,
        "set": "OldOne"
      },
      "container": {
        "label": "Where it lies",
        "shape": "lies",
        "required": false,
        "to": [
          "container"
        ]
      },
      "differs": {
        "label": "As it should be?",
        "shape": "word",
        "required": false,
        "set": "Differs"
      },
      "differs_why": {
        "label": "Until what comes, or why so",
        "shape": "line",
        "required": false
      },
      "use_once": {
        "label": "May be used only once",
        "shape": "flag",
        "required": false
      },
      "note": {
        "label": "Notes",
        "shape": "prose",
        "required": false
      },
      "on": {
        "label": "Day",
        "shape": "day",
        "required": false
      }
    }
  },
  "finding": {
    "said": "finding",
    "stays": false,
    "fields": {
      "about": {
        "label": "What it is about",
        "shape": "about",
        "required": true,
        "to": [
          "car",
          "assembly",
          "part"
        ]
      },
      "what": {
        "label": "What was seen",
        "shape": "line",
        "required": true
      },
      "how_bad": {
        "label": "How bad",
        "shape": "word",
        "required": false,
        "set": "HowBad"
      },
      "how_sure": {
        "label": "How sure",
        "shape": "word",
        "required": false,
        "set": "HowSure"
      },
      "came_by": {
        "label": "It came by",
        "shape": "word",
        "required": false,
        "set": "CameBy"
      },
      "because_of": {
        "label": "Because of",
        "shape": "link",
        "required": false,
        "to": [
          "finding"
        ]
      },
      "on": {
        "label": "Day",
        "shape": "day",
        "required": true
      },
      "note": {
        "label": "Notes",
        "shape": "prose",
        "required": false
      },
      "ended": {
        "label": "How it ended",
        "shape": "ending",
        "required": false
      },
      "photos": {
        "label": "To be seen on",
        "shape": "set",
        "required": false,
        "to": [
          "photo"
        ]
      }
    }
  },
  "job": {
    "said": "job",
    "stays": false,
    "fields": {
      "what": {
        "label": "What is to be done",
        "shape": "line",
        "required": true
      },
      "assembly": {
        "label": "Assembly",
        "shape": "link",
        "required": false,
        "to": [
          "assembly"
        ]
      },
      "part": {
        "label": "Part",
        "shape": "link",
        "required": false,
        "to": [
          "part"
        ]
      },
      "state": {
        "label": "State",
        "shape": "word",
        "required": false,
        "set": "JobState"
      },
      "left_off": {
        "label": "Left off",
        "shape": "line",
        "required": false
      },
      "not_before": {
        "label": "Not before",
        "shape": "day",
        "required": false
      },
      "not_before_time": {
        "label": "From what time of that day",
        "shape": "line",
        "required": false
      },
      "waits_for": {
        "label": "Waits for",
        "shape": "about",
        "required": false,
        "to": [
          "part",
          "order",
          "hold_point",
          "reading",
          "keeper"
        ]
      },
      "waits_why": {
        "label": "Waits for, in words",
        "shape": "line",
        "required": false
      },
      "hands": {
        "label": "People it takes",
        "shape": "whole",
        "required": false
      },
      "helper": {
        "label": "Who helps",
        "shape": "line",
        "required": false
      },
      "undone_by": {
        "label": "The bigger job",
        "shape": "link",
        "required": false,
        "to": [
          "job"
        ]
      },
      "needs_apart": {
        "label": "Must be apart first",
        "shape": "set",
        "required": false,
        "to": [
          "assembly"
        ]
      },
      "after": {
        "label": "Comes after",
        "shape": "set",
        "required": false,
        "to": [
          "job"
        ]
      },
      "needs_parts": {
        "label": "Parts to have in hand",
        "shape": "set",
        "required": false,
        "to": [
          "part"
        ]
      },
      "tools": {
        "label": "Tools",
        "shape": "line",
        "required": false
      },
      "minutes": {
        "label": "Minutes",
        "shape": "whole",
        "required": false
      },
      "outcome": {
        "label": "What came of it",
        "shape": "line",
        "required": false
      },
      "note": {
        "label": "Notes",
        "shape": "prose",
        "required": false
      },
      "on": {
        "label": "Day",
        "shape": "day",
        "required": false
      },
      "remedy_of": {
        "label": "Mends the reading",
        "shape": "link",
        "required": false,
        "to": [
          "reading"
        ]
      }
    }
  },
  "try": {
    "said": "try",
    "stays": false,
    "fields": {
      "job": {
        "label": "Job",
        "shape": "link",
        "required": true,
        "to": [
          "job"
        ]
      },
      "what": {
        "label": "What was done",
        "shape": "line",
        "required": true
      },
      "tool": {
        "label": "With which tool",
        "shape": "line",
        "required": false
      },
      "came_of_it": {
        "label": "What came of it",
        "shape": "line",
        "required": false
      },
      "worked": {
        "label": "It worked",
        "shape": "flag",
        "required": false
      },
      "on": {
        "label": "Day",
        "shape": "day",
        "required": true
      }
    }
  },
  "sheet": {
    "said": "day sheet",
    "stays": true,
    "fields": {
      "text": {
        "label": "Notes",
        "shape": "prose",
        "required": false
      },
      "hours": {
        "label": "Hours",
        "shape": "line",
        "required": false
      },
      "notes_of": {
        "label": "Notes of",
        "shape": "set",
        "required": false,
        "to": [
          "assembly"
        ]
      }
    }
  },
  "photo": {
    "said": "photo",
    "stays": false,
    "fields": {
      "hash": {
        "label": "Mark of its bytes",
        "shape": "line",
        "required": true
      },
      "caption": {
        "label": "What is to be seen",
        "shape": "line",
        "required": false
      },
      "about": {
        "label": "What it shows",
        "shape": "about",
        "required": false,
        "to": [
          "car",
          "assembly",
          "part",
          "finding",
          "job",
          "container",
          "hold_point"
        ]
      },
      "stage": {
        "label": "When in the work",
        "shape": "word",
        "required": false,
        "set": "Stage"
      },
      "on": {
        "label": "Day",
        "shape": "day",
        "required": true
      }
    }
  },
  "container": {
    "said": "container",
    "stays": false,
    "fields": {
      "code": {
        "label": "Code on its label",
        "shape": "line",
        "required": true
      },
      "name": {
        "label": "What is in it",
        "shape": "line",
        "required": false
      },
      "inside": {
        "label": "Stands in",
        "shape": "link",
        "required": false,
        "to": [
          "container"
        ]
      },
      "place": {
        "label": "Where it stands",
        "shape": "line",
        "required": false
      }
    }
  },
  "limit": {
    "said": "limit",
    "stays": false,
    "fields": {
      "what": {
        "label": "What is measured",
        "shape": "line",
        "required": true
      },
      "about": {
        "label": "What it is about",
        "shape": "about",
        "required": false,
        "to": [
          "assembly",
          "part",
          "car"
        ]
      },
      "condition": {
        "label": "Holds for",
        "shape": "word",
        "required": false,
        "set": "Condition"
      },
      "low": {
        "label": "Not below",
        "shape": "measure",
        "required": false
      },
      "high": {
        "label": "Not above",
        "shape": "measure",
        "required": false
      },
      "book": {
        "label": "Book",
        "shape": "line",
        "required": false
      },
      "edition": {
        "label": "Edition",
        "shape": "line",
        "required": false
      },
      "page": {
        "label": "Page",
        "shape": "line",
        "required": false
      },
      "judges": {
        "label": "Judges",
        "shape": "word",
        "required": false,
        "set": "Property"
      },
      "if_low": {
        "label": "Below it, the remedy is",
        "shape": "word",
        "required": false,
        "set": "Mend"
      },
      "if_high": {
        "label": "Above it, the remedy is",
        "shape": "word",
        "required": false,
        "set": "Mend"
      }
    }
  },
  "instrument": {
    "said": "instrument",
    "stays": false,
    "fields": {
      "name": {
        "label": "Name",
        "shape": "line",
        "required": true
      },
      "resolution": {
        "label": "Smallest step",
        "shape": "measure",
        "required": false
      },
      "uncertainty": {
        "label": "Uncertainty (k = 2)",
        "shape": "measure",
        "required": false
      },
      "least": {
        "label": "Measures from",
        "shape": "measure",
        "required": false
      },
      "most": {
        "label": "Measures up to",
        "shape": "measure",
        "required": false
      },
      "checked_on": {
        "label": "Last checked",
        "shape": "day",
        "required": false
      },
      "checked_against": {
        "label": "Checked against",
        "shape": "line",
        "required": false
      }
    }
  },
  "reading": {
    "said": "reading",
    "stays": false,
    "fields": {
      "what": {
        "label": "What was measured",
        "shape": "line",
        "required": true
      },
      "about": {
        "label": "What it is about",
        "shape": "about",
        "required": true,
        "to": [
          "assembly",
          "part",
          "car"
        ]
      },
      "at": {
        "label": "At which point",
        "shape": "line",
        "required": false
      },
      "value": {
        "label": "Reading",
        "shape": "measure",
        "required": false
      },
      "again": {
        "label": "Measured again",
        "shape": "measures",
        "required": false
      },
      "grid": {
        "label": "Grid",
        "shape": "grid",
        "required": false
      },
      "grid_names": {
        "label": "Heights; directions",
        "shape": "line",
        "required": false
      },
      "instrument": {
        "label": "Instrument",
        "shape": "link",
        "required": false,
        "to": [
          "instrument"
        ]
      },
      "limit": {
        "label": "Limit",
        "shape": "link",
        "required": false,
        "to": [
          "limit"
        ]
      },
      "more_limits": {
        "label": "Other limits",
        "shape": "set",
        "required": false,
        "to": [
          "limit"
        ]
      },
      "temperature": {
        "label": "How warm it was",
        "shape": "measure",
        "required": false
      },
      "knew_of": {
        "label": "Measured knowing of",
        "shape": "line",
        "required": false
      },
      "on": {
        "label": "Day",
        "shape": "day",
        "required": true
      }
    }
  },
  "order": {
    "said": "order",
    "stays": false,
    "fields": {
      "what": {
        "label": "What",
        "shape": "line",
        "required": true
      },
      "part": {
        "label": "Part",
        "shape": "link",
        "required": false,
        "to": [
          "part"
        ]
      },
      "state": {
        "label": "State",
        "shape": "word",
        "required": false,
        "set": "OrderState"
      },
      "from": {
        "label": "From whom",
        "shape": "line",
        "required": false
      },
      "price": {
        "label": "Price",
        "shape": "money",
        "required": false
      },
      "due": {
        "label": "Due",
        "shape": "day",
        "required": false
      },
      "on": {
        "label": "Day",
        "shape": "day",
        "required": false
      },
      "remedy_of": {
        "label": "Mends the reading",
        "shape": "link",
        "required": false,
        "to": [
          "reading"
        ]
      }
    }
  },
  "hold_point": {
    "said": "hold point",
    "stays": false,
    "fields": {
      "what": {
        "label": "What must be so",
        "shape": "line",
        "required": true
      },
      "assembly": {
        "label": "Assembly",
        "shape": "link",
        "required": false,
        "to": [
          "assembly"
        ]
      },
      "how": {
        "label": "How it is met",
        "shape": "word",
        "required": true,
        "set": "How"
      },
      "wanted": {
        "label": "How many are wanted",
        "shape": "whole",
        "required": false
      },
      "limit": {
        "label": "Limit",
        "shape": "link",
        "required": false,
        "to": [
          "limit"
        ]
      },
      "state": {
        "label": "State",
        "shape": "word",
        "required": false,
        "set": "HoldState"
      },
      "met_how": {
        "label": "What was seen",
        "shape": "line",
        "required": false
      },
      "met_by": {
        "label": "Met by",
        "shape": "line",
        "required": false
      },
      "on": {
        "label": "Day",
        "shape": "day",
        "required": false
      }
    }
  },
  "waiver": {
    "said": "waiver",
    "stays": false,
    "fields": {
      "assembly": {
        "label": "Assembly",
        "shape": "link",
        "required": true,
        "to": [
          "assembly"
        ]
      },
      "about": {
        "label": "What it is about",
        "shape": "about",
        "required": true,
        "to": [
          "assembly",
          "job",
          "hold_point",
          "tightening_run",
          "finding",
          "reading",
          "part"
        ]
      },
      "why": {
        "label": "Why",
        "shape": "line",
        "required": true
      },
      "check": {
        "label": "Which check",
        "shape": "line",
        "required": false
      }
    }
  },
  "settlement": {
    "said": "settlement",
    "stays": true,
    "fields": {
      "point": {
        "label": "Point",
        "shape": "line",
        "required": true
      },
      "rule": {
        "label": "Rule",
        "shape": "line",
        "required": true
      },
      "choice": {
        "label": "Chosen",
        "shape": "line",
        "required": true
      },
      "why": {
        "label": "Why",
        "shape": "line",
        "required": false
      },
      "about": {
        "label": "What it is about",
        "shape": "line",
        "required": false
      },
      "field": {
        "label": "Field",
        "shape": "line",
        "required": false
      },
      "of_point": {
        "label": "Says which holds of the point",
        "shape": "line",
        "required": false
      },
      "of_rule": {
        "label": "The rule of that point",
        "shape": "line",
        "required": false
      },
      "had": {
        "label": "As it was said",
        "shape": "line",
        "required": false
      },
      "had_by": {
        "label": "As who had it",
        "shape": "link",
        "required": false,
        "to": [
          "keeper"
        ]
      },
      "stood": {
        "label": "What it was before",
        "shape": "line",
        "required": false
      }
    }
  },
  "kept_answer": {
    "said": "kept answer",
    "stays": false,
    "fields": {
      "what": {
        "label": "What",
        "shape": "line",
        "required": true
      },
      "calculation": {
        "label": "Calculation",
        "shape": "line",
        "required": true
      },
      "about": {
        "label": "What it is about",
        "shape": "about",
        "required": false,
        "to": [
          "car",
          "assembly",
          "part",
          "job"
        ]
      },
      "inputs": {
        "label": "Typed",
        "shape": "prose",
        "required": false
      },
      "answer": {
        "label": "Answer",
        "shape": "line",
        "required": true
      },
      "told": {
        "label": "As it was told",
        "shape": "prose",
        "required": false
      },
      "on": {
        "label": "Day",
        "shape": "day",
        "required": true
      },
      "note": {
        "label": "Notes",
        "shape": "line",
        "required": false
      }
    }
  },
  "tightening_run": {
    "said": "tightening run",
    "stays": false,
    "fields": {
      "what": {
        "label": "What is tightened",
        "shape": "line",
        "required": true
      },
      "assembly": {
        "label": "Assembly",
        "shape": "link",
        "required": true,
        "to": [
          "assembly"
        ]
      },
      "layout": {
        "label": "How the bolts lie",
        "shape": "word",
        "required": true,
        "set": "Layout"
      },
      "bolts": {
        "label": "How many bolts",
        "shape": "whole",
        "required": true
      },
      "rows": {
        "label": "In how many rows",
        "shape": "whole",
        "required": false
      },
      "torque": {
        "label": "Torque of the last pass",
        "shape": "measure",
        "required": true
      },
      "passes": {
        "label": "Passes",
        "shape": "line",
        "required": false
      },
      "conditions": {
        "label": "Holds for",
        "shape": "line",
        "required": true
      },
      "source": {
        "label": "Source",
        "shape": "line",
        "required": false
      },
      "instrument": {
        "label": "Wrench",
        "shape": "link",
        "required": false,
        "to": [
          "instrument"
        ]
      },
      "on": {
        "label": "Day",
        "shape": "day",
        "required": true
      }
    }
  },
  "tightened": {
    "said": "bolt tightened",
    "stays": false,
    "fields": {
      "run": {
        "label": "Run",
        "shape": "link",
        "required": true,
        "to": [
          "tightening_run"
        ]
      },
      "pass": {
        "label": "Pass",
        "shape": "whole",
        "required": true
      },
      "place": {
        "label": "Bolt",
        "shape": "whole",
        "required": true
      },
      "torque": {
        "label": "Torque",
        "shape": "measure",
        "required": true
      },
      "instrument": {
        "label": "Wrench",
        "shape": "link",
        "required": false,
        "to": [
          "instrument"
        ]
      },
      "on": {
        "label": "Day",
        "shape": "day",
        "required": true
      },
      "held_for": {
        "label": "Held for",
        "shape": "line",
        "required": false
      },
      "loosened": {
        "label": "Loosened since",
        "shape": "flag",
        "required": false
      }
    }
  }
} as const satisfies Readonly<Record<Kind, KindDef>>;

/** Every currency that money is kept in, by its three letters. */
export const CURRENCIES: readonly string[] = ["AED","AFN","ALL","AMD","ANG","AOA","ARS","AUD","AWG","AZN","BAM","BBD","BDT","BGN","BHD","BIF","BMD","BND","BOB","BRL","BSD","BTN","BWP","BYN","BZD","CAD","CDF","CHF","CLP","CNY","COP","CRC","CUP","CVE","CZK","DJF","DKK","DOP","DZD","EGP","ERN","ETB","EUR","FJD","FKP","GBP","GEL","GHS","GIP","GMD","GNF","GTQ","GYD","HKD","HNL","HTG","HUF","IDR","ILS","INR","IQD","IRR","ISK","JMD","JOD","JPY","KES","KGS","KHR","KMF","KPW","KRW","KWD","KYD","KZT","LAK","LBP","LKR","LRD","LSL","LYD","MAD","MDL","MGA","MKD","MMK","MNT","MOP","MRU","MUR","MVR","MWK","MXN","MYR","MZN","NAD","NGN","NIO","NOK","NPR","NZD","OMR","PAB","PEN","PGK","PHP","PKR","PLN","PYG","QAR","RON","RSD","RUB","RWF","SAR","SBD","SCR","SDG","SEK","SGD","SHP","SLE","SOS","SRD","SSP","STN","SVC","SYP","SZL","THB","TJS","TMT","TND","TOP","TRY","TTD","TWD","TZS","UAH","UGX","USD","UYU","UZS","VES","VND","VUV","WST","XAF","XCD","XOF","XPF","YER","ZAR","ZMW","ZWG"];
