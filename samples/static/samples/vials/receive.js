// The next scan replaces what stands in the field, also after a number that was refused.

const field = document.querySelector("input[name=number]");
field?.focus();
field?.select();
