/**
 * Heat: resistances with both ends named, the heat balance of the coolant, correction to nominal power and speed, the
 * density of the air. Pure mathematics. May use units.
 */
package org.plateaubench.thermal;
