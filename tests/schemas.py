"""What every schema of our own output is held to."""

import jsonschema


def undescribed(schema, at=""):
    """The fields of a schema, by path, that say nothing of themselves."""
    for name, child in schema.get("properties", {}).items():
        if "description" not in child:
            yield f"{at}.{name}"
    for name, child in schema.items():
        if isinstance(child, dict):
            yield from undescribed(child, f"{at}.{name}")


def hold(schema, wrong):
    """A schema is a schema, describes every field, and refuses what is ``wrong``."""
    jsonschema.Draft202012Validator.check_schema(schema)
    assert list(undescribed(schema)) == []
    assert not jsonschema.Draft202012Validator(schema).is_valid(wrong)
