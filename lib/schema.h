/*
 * The format of the three files as JSON Schema 2020-12, for editors, written from the tables of
 * keys that read them.
 *
 * An editor's YAML reader sees 0417 as a number and yes as text or a boolean, as it likes; so every
 * scalar may be a string, a number, a boolean or null, and patterns bind strings only. The schema
 * is stricter than gyle-validate in one thing: a key that it would only warn of is refused.
 */
#ifndef GYLE_SCHEMA_H
#define GYLE_SCHEMA_H

#include "str.h"

#include <stdbool.h>
#include <stdio.h>

/* Writes the schema of a kind of document: "batch", "cellar" or "plant". False, and nothing
 * written, for another. */
bool schema_write(FILE *out, struct str kind);

#endif
