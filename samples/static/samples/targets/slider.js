// The number of a slider is shown while it is moved, and the page asked for when it is let go.
// Without script the button does it.

for (const slider of document.querySelectorAll("input.slider")) {
  const shown = document.querySelector(`output[for="${slider.id}"]`);
  slider.addEventListener("input", () => { shown.value = slider.value; });
  slider.addEventListener("change", () => slider.form.requestSubmit());
}
