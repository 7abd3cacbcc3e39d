import { mount } from 'svelte';
import './app.css';
import App from './App.svelte';
import { start } from './lib/app.svelte';
import { watchVersions } from './lib/offline.svelte';

const target = document.getElementById('page');
if (target) {
  void start();
  mount(App, { target });
  void watchVersions();
}
