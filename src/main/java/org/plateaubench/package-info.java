/** Plateau: a test-protocol runner that drives a cooling-fan bench. The rooms are the packages below this one. */
package org.plateaubench;
