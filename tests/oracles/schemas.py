# Replies and arguments, judged by jsonschema: reads lines of JSON, each with a schema and an instance, and says which
# does not fit. A schema that is itself no schema fails too.
import json
import sys

from jsonschema import Draft202012Validator, FormatChecker

judged = 0
for line in sys.stdin:
    case = json.loads(line)
    Draft202012Validator.check_schema(case["schema"])
    validator = Draft202012Validator(case["schema"], format_checker=FormatChecker())
    error = next(iter(validator.iter_errors(case["instance"])), None)
    fits = error is None
    if fits != case["fits"]:
        print(f"{case['what']}: {error.message[:300] if error else 'fits, and should not'}")
        sys.exit(1)
    judged += 1
print(f"judged {judged}")
