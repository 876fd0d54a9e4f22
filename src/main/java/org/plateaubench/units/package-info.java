/** Quantities and their text forms. Depends on nothing of ours. */
package org.plateaubench.units;
